"""The build book: everything that goes to the bench and to the inspection table, one module a chapter."""
