"""Charts of results.

In: results as dictionaries. Out: a layout, drawn as SVG.
"""
