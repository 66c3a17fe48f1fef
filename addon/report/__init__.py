"""Results as text of 80 columns, made from the dictionaries of `results` alone."""
