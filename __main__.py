"""`python -m ferrule` is the same as the command `ferrule`."""

from __future__ import annotations

from .app.cli import main

if __name__ == "__main__":
    main()
