"""Loads on parts in flight and what they bear, one file a load."""
