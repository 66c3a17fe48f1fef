"""What the user is to know: findings, errors of input and their sentences.

In: ids, subjects and quantities. Out: a `Sentence` that can be written in any units and language.
"""
