"""Jigs: what holds a tube and its fins, and guides a pencil or a drill, while the rocket is built."""
