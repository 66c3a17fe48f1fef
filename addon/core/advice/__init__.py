"""Corrective actions: the smallest change of weights or tanks that corrects a vessel.

In: a case and its failing checks. Out: actions with their effect, each tried by floating the
vessel anew.
"""
