"""A flight in one plane from the rail to the ground, and what it asks of the parts."""
