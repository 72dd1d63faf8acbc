"""Planning: pure functions from a day and a library to steps. See docs/planning.md.

    open_day(people, minutes, library) -> Day
    make_plan(day, now, library) -> Change
    adapt(day, steps, now, who, answer, question, library) -> Change

`steps` is what is left, current step first; `question` is the question that the answer
belongs to ('' when told unasked).
"""
