"""Readers of finished files that know nothing of how they were made: one module a format."""
