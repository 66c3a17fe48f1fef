"""Results as dictionaries: the contract of --json and --csv.

In: frozen results of the core. Out: plain values with the unit in every key.
"""
