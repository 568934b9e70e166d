"""Where pieces lie on the sheets that they are cut from; numbers only."""
