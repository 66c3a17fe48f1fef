"""Stability criteria, one module a code, and custom ones.

In: GZ curves and service facts. Out: verdicts clause by clause, heeling levers, limiting KG.
2008 IS Code part A, 46 CFR 170 and 178, 33 CFR 183.
"""
