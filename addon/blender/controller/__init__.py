"""What is computed for the scene, when, and what is kept of it.

In: events of properties, handlers and operators. Out: results of the session, marked stale when
the scene changes.
"""
