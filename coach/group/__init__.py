"""A leader with a group, as a pure state machine: `step(group, event) -> (group, effects)`.

Events and effects are those of `coach.session`; the one who answers is the leader. What people
may do is decided by `coach.planning`, each for themselves, as for one person alone.
"""
