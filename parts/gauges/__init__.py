"""Gauges and coupons: small pieces that tell, before the long prints, what a machine makes of a size."""
