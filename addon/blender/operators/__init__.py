"""Operators, one module a thing acted on; an operator is one call into the controller."""
