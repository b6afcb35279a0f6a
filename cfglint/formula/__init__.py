"""The rule language: its grammar, its types, and its evaluation on ranges.

Names and functions are known only through a vocabulary that is handed in; this room knows nothing of settings or rules.
"""
