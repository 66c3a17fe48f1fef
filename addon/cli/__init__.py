"""The command line, headless and inside Blender: arguments to a case, to results, to a report.

In: argv and where a case comes from. Out: text, JSON, CSV, charts and an exit code.
"""
