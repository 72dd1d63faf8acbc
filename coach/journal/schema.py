"""The tables of the journal, and the named steps that build them.

Owns the shape of the file and nothing else. A released step is never edited: a change of
shape is a new step at the end of `STEPS`. docs/journal.md describes each column.
"""

#: Marks the file as ours in SQLite's header ("sess"), so that a foreign database is recognised.
APPLICATION_ID = 0x73657373

_FIRST = """
CREATE TABLE library (
    digest TEXT PRIMARY KEY,
    body   TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE session (
    id       INTEGER PRIMARY KEY AUTOINCREMENT,
    uid      TEXT NOT NULL UNIQUE,
    previous TEXT NOT NULL,
    begun    TEXT NOT NULL,
    instant  REAL NOT NULL,
    routine  TEXT NOT NULL,
    minutes  INTEGER NOT NULL,
    place    TEXT NOT NULL,
    library  TEXT NOT NULL REFERENCES library (digest),
    body     TEXT NOT NULL,
    how      TEXT,
    crc      INTEGER NOT NULL
) STRICT;
CREATE INDEX session_by_time ON session (instant);

CREATE TABLE event (
    session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
    seq     INTEGER NOT NULL,
    wall    TEXT NOT NULL,
    kind    TEXT NOT NULL,
    body    TEXT NOT NULL,
    crc     INTEGER NOT NULL,
    PRIMARY KEY (session, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE fact (
    session INTEGER NOT NULL,
    seq     INTEGER NOT NULL,
    n       INTEGER NOT NULL,
    kind    TEXT NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (session, seq, n),
    FOREIGN KEY (session, seq) REFERENCES event (session, seq) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE digest (
    session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
    who     INTEGER NOT NULL,
    version INTEGER NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (session, who)
) STRICT, WITHOUT ROWID;

CREATE TABLE aim (
    uid  TEXT PRIMARY KEY,
    body TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE writer (
    only  INTEGER PRIMARY KEY CHECK (only = 1),
    pid   INTEGER NOT NULL,
    since TEXT NOT NULL
) STRICT;

CREATE TRIGGER event_after_close BEFORE INSERT ON event
WHEN (SELECT how FROM session WHERE id = NEW.session) IS NOT NULL
BEGIN
    SELECT RAISE(ABORT, 'the session is closed');
END;
"""

#: `coach.journal.body_statements` looks for these few among a million others, before every session.
_SIGNS = """
CREATE INDEX fact_sign ON fact (session) WHERE kind = 'SignTold';
CREATE INDEX event_claim ON event (session) WHERE kind = 'KeyClaimed';
"""

#: Who took part in what, by what they are known by, and what was stated of the record since:
#: names, who is one person, corrections, deletions. `coach.record.people` makes persons of them.
_PEOPLE = """
CREATE TABLE attendance (
    session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
    who     INTEGER NOT NULL,
    name    TEXT NOT NULL,
    key     TEXT NOT NULL,
    several INTEGER NOT NULL,
    PRIMARY KEY (session, who)
) STRICT, WITHOUT ROWID;
CREATE INDEX attendance_by_key ON attendance (key);

CREATE TABLE statement (
    uid  TEXT PRIMARY KEY,
    wall TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT, WITHOUT ROWID;

INSERT OR IGNORE INTO attendance
SELECT session.id, json_extract(person.value, '$.who'), json_extract(person.value, '$.name'),
       person_key(json_extract(person.value, '$.name'), json_extract(person.value, '$.who'),
                  json_array_length(session.body, '$.people')),
       json_array_length(session.body, '$.people')
FROM session JOIN json_each(session.body, '$.people') AS person;

CREATE INDEX fact_felt ON fact (session) WHERE kind = 'Felt';
"""

#: Sessions that have ended, packed (`coach.journal.seals`), what of them stands outside, and packed
#: libraries. A session that is sealed has no events or facts of its own any more, and '' as body.
_SEALS = """
CREATE TABLE seal (
    session INTEGER PRIMARY KEY REFERENCES session (id) ON DELETE CASCADE,
    body    BLOB NOT NULL,
    sha     TEXT NOT NULL
) STRICT;

CREATE TABLE told (
    session INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
    seq     INTEGER NOT NULL,
    n       INTEGER NOT NULL,
    kind    TEXT NOT NULL,
    body    TEXT NOT NULL,
    PRIMARY KEY (session, seq, n)
) STRICT, WITHOUT ROWID;

CREATE TABLE shelf (
    digest TEXT PRIMARY KEY REFERENCES library (digest) ON DELETE CASCADE,
    base   TEXT NOT NULL,
    body   BLOB NOT NULL
) STRICT, WITHOUT ROWID;
"""

#: A session that lost to a longer record of the same name: kept, and counted nowhere.
_TWINS = """
ALTER TABLE session ADD COLUMN twin TEXT NOT NULL DEFAULT '';
CREATE INDEX session_by_twin ON session (twin) WHERE twin <> '';
"""

#: Checksums of what stands outside of every session.
_SUMS = """
ALTER TABLE statement ADD COLUMN crc INTEGER NOT NULL DEFAULT 0;
UPDATE statement SET crc = sum_of(uid, wall, kind, body);
ALTER TABLE aim ADD COLUMN crc INTEGER NOT NULL DEFAULT 0;
UPDATE aim SET crc = sum_of(uid, body);
"""

#: Rows of `told` that may stand for a body, or end what stands: signs, feels that last or take one
#: back, and what a key stated to be well or cleared. A part of the released step below.
STANDING = """(kind = 'SignTold'
    OR (kind = 'Felt'
        AND (instr(body, '"sore"') OR instr(body, '"hurting"') OR instr(body, '"undo"')))
    OR (kind = 'KeyClaimed' AND (instr(body, 'well:') OR instr(body, 'cleared:'))))"""

#: By these alone `coach.journal.persons` finds everybody, and `coach.journal.body_statements` what
#: may stand, before every session.
_BEFORE_A_START = f"""
DROP INDEX attendance_by_key;
CREATE INDEX attendance_by_key ON attendance (key, name, several);
CREATE INDEX told_standing ON told (session) WHERE {STANDING};
"""

#: Name -> statements, in the order they are applied.
STEPS: dict[str, str] = {
    "0001-sessions-events-facts": _FIRST,
    "0002-signs-and-claims-by-index": _SIGNS,
    "0003-who-took-part": _PEOPLE,
    "0004-seals": _SEALS,
    "0005-twins": _TWINS,
    "0006-sums-of-statements": _SUMS,
    "0007-who-and-what-stands-by-index": _BEFORE_A_START,
}
