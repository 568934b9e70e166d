"""Numbers about parts and stacks of parts; writes no file."""
