"""The keys of the results: what each means, its kind and unit, declared once.

In: nothing. Out: `RESULTS`, records of keys by the command that gives them, from which the
published schema is made and against which tests hold what the commands print.
"""
