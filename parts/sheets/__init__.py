"""Pages at 1:1: paper, tiling, check bars and marks; numbers only."""
