"""Messages to the user: findings, input errors and their text.

In: ids, subjects and quantities. Out: a `Sentence` that can be written in any units and language.
"""
