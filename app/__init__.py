"""What a person touches: the command line and the design file."""
