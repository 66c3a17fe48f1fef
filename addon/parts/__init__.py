"""The parts of a case: declared, read from TOML and written back.

In: a case file with its meshes and weight list. Out: a `Case`; and back, to the last digit.
"""
