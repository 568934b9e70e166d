"""Aerodynamics, one file a method."""
