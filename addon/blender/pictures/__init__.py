"""Documentation pictures: the vessel afloat in level water, with its figures.

In: a case and its results. Out: PNG files.
"""
