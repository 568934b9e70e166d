"""Papers for turned parts, from plain geometry: wraps, profile gauges, turning templates; they know no kind of part."""
