"""The scanner finds every key that tomllib finds, on the line where it stands."""

import tomllib
from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st

from coach.files.positions import Key, lines_of

BARE = st.from_regex(r"[A-Za-z0-9_-]{1,6}", fullmatch=True)
ANY_NAME = st.one_of(BARE, st.text("ab.#=\"'[]{}, \t\\é", max_size=5))
#: A leaf is a mark to be made unique, so that its line can be seen in the text.
LEAF = st.sampled_from(["integer", "basic", "literal", "long", "long-literal", "date", "nan"])
VALUE = st.recursive(
    LEAF,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(ANY_NAME, inner, max_size=3)
    ),
    max_leaves=8,
)
TABLE = st.dictionaries(ANY_NAME, VALUE, max_size=4)
FILLER = st.sampled_from(["", "\n", '# a = [ { """\n', "   \n\t# '''\n"])


class Writer:
    """Writes tables in styles that hypothesis draws, with a unique mark in each leaf."""

    def __init__(self, data: st.DataObject) -> None:
        self.data = data
        self.text = ""
        self.marks: dict[Key, str] = {}

    def name(self, name: str) -> str:
        bare = name and all(c.isascii() and (c.isalnum() or c in "_-") for c in name)
        if bare and self.data.draw(st.booleans()):
            return name
        if "'" not in name and self.data.draw(st.booleans()):
            return f"'{name}'"
        escaped = name.replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t")
        return f'"{escaped}"'

    def leaf(self, kind: str, key: Key) -> str:
        number = 1000 + len(self.marks)
        mark = f"mark{number}"
        self.marks[key] = str(number)
        return {
            "integer": f"{number}",
            "basic": f'"{mark} # \\" ]"',
            "literal": f"'{mark} = }} \\'",
            "long": f'"""{mark}\n"" # \\"""\n[a]\n"""""',
            "long-literal": f"'''{mark}\n'' b = 1\n'''''",
            "date": f"2026-03-03 18:00:00.{number}Z",
            "nan": f"nan # {mark}\n",
        }[kind]

    def value(self, value: object, key: Key, *, inline: bool) -> str:
        if isinstance(value, str):
            kind = "integer" if value == "nan" else value
            return self.leaf(kind, key)
        if isinstance(value, list):
            gap = "" if inline else self.data.draw(FILLER)
            items = [
                self.value(item, (*key, place), inline=inline) for place, item in enumerate(value)
            ]
            return "[" + gap + f",{gap}".join(items) + gap + "]"
        assert isinstance(value, dict)
        pairs = [
            f"{self.name(name)} = {self.value(item, (*key, name), inline=True)}"
            for name, item in value.items()
        ]
        return "{ " + ", ".join(pairs) + " }"

    def pairs(self, table: dict[str, object], key: Key, dots: str = "") -> None:
        for name, value in table.items():
            self.text += self.data.draw(FILLER)
            if isinstance(value, dict) and value and self.data.draw(st.booleans()):
                self.pairs(value, (*key, name), f"{dots}{self.name(name)} . ")
            else:
                written = self.value(value, (*key, name), inline=False)
                self.text += f"{dots}{self.name(name)} = {written}\n"


def flat(value: object, key: Key = ()) -> Iterator[Key]:
    """Every key that tomllib found."""
    if key:
        yield key
    if isinstance(value, dict):
        for name, item in value.items():
            yield from flat(item, (*key, name))
    if isinstance(value, list):
        for place, item in enumerate(value):
            yield from flat(item, (*key, place))


@given(st.data(), TABLE, st.lists(st.tuples(ANY_NAME, st.booleans(), TABLE, TABLE), max_size=4))
def test_every_key_of_tomllib_is_found_on_its_line(
    data: st.DataObject,
    top: dict[str, object],
    tables: list[tuple[str, bool, dict[str, object], dict[str, object]]],
) -> None:
    writer = Writer(data)
    writer.pairs(top, ())
    counts: dict[str, int] = {}
    for name, many, table, below in tables:
        if name in top or (name in counts and not many) or ("sub" in table):
            continue
        key: Key = (name,)
        if many and (name not in counts or counts[name] >= 0):
            counts[name] = counts.get(name, -1) + 1
            key = (name, counts[name])
            writer.text += f"[[ {writer.name(name)} ]] # ]\n"
        elif name not in counts:
            counts[name] = -1
            writer.text += f"[{writer.name(name)}]\n"
        else:
            continue
        writer.pairs(table, key)
        writer.text += f"[{writer.name(name)}.sub]\n"
        writer.pairs(below, (*key, "sub"))

    lines = lines_of(writer.text)

    assert set(lines) == set(flat(tomllib.loads(writer.text)))
    for key, mark in writer.marks.items():
        assert lines[key] == writer.text[: writer.text.index(mark)].count("\n") + 1


def test_tables_and_arrays_of_tables_have_the_line_of_their_header() -> None:
    text = "\n[a.b]\nc = 1\n\n[[d]]\n[[d]]\n[d.e]\nf = [\n  1,\n  { g = 2 },\n]\n"

    assert lines_of(text) == {
        ("a",): 2,
        ("a", "b"): 2,
        ("a", "b", "c"): 3,
        ("d",): 5,
        ("d", 0): 5,
        ("d", 1): 6,
        ("d", 1, "e"): 7,
        ("d", 1, "e", "f"): 8,
        ("d", 1, "e", "f", 0): 9,
        ("d", 1, "e", "f", 1): 10,
        ("d", 1, "e", "f", 1, "g"): 10,
    }


def test_a_document_without_keys_has_no_lines() -> None:
    assert lines_of("# only a comment") == {}
