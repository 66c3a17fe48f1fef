"""The keys of the results: what each means, its kind and unit, declared once.

In: words of the core that are values of keys. Out: records of keys, a module for each module of
results, from which the published schema is made and which tests hold the commands to.
"""
