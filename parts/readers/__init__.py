"""Readers of a shape: exact solids, meshes and integrals."""
