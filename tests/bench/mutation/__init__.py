"""Mutation test of what decides: `python -m tests.bench.mutation [PACKAGE[/MODULE] ...]`.

Each mutant changes one thing of one source file and lives only in the memory of a child process. It
is killed when a test fails that runs what was changed. Without arguments every package is tried
(hours: for a night); `--changed BASE` tries the lines that differ from a commit, `--minutes M` ends
in time and says how many were left, `--sample N` draws so many of each package by a fixed seed.
Kept days (`tests/days/kept/`) go first, and with `--kept` alone; what they miss others may see:
`--again FILE --own` tries the survivors of a file by the package's own tests.

Survivors are printed with their line, and with `--survivors FILE` written there. One that may live
says why in its source, in a comment with the words 'mutant:'; such lines are not tried.
"""
