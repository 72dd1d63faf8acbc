"""What the stored facts say: history, doses, trends, what next. Pure: facts in, values out.

Nothing here plans or judges; every number is one that a session wrote down, or a sum of such.
"""
