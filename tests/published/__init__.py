"""Checks against published and closed-form values; every test names its source."""
