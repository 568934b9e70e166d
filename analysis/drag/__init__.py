"""Drag of a rocket from its geometry, one file a term."""
