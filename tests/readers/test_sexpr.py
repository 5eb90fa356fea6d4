from __future__ import annotations

import re

import pytest
import sexpdata  # type: ignore[import-untyped]
from hypothesis import example, given
from hypothesis import strategies as st

from counterpoise.readers import sexpr
from counterpoise.readers._source import InputError, Source
from counterpoise.readers.sexpr import Node, Quoted


def source(text: str) -> Source:
    return Source("x.txt", text.encode())


def whole(text: str) -> Node:
    """The tree in one piece: the root's lists put back among its atoms is not possible from a
    stream, so trees for comparing are wrapped once more and taken as the root's first child."""
    first, root = list(sexpr.children(source(f"(root {text}\n)")))
    assert list(root) == ["root"]
    return first


def plain(text: str) -> list[object]:
    """A slow reader, one character at a time, against which the fast one is held."""
    stack: list[list[object]] = [[]]
    at = 0
    while at < len(text):
        char = text[at]
        if char in " \t\r\n":
            at += 1
        elif char == "(":
            stack.append([])
            at += 1
        elif char == ")":
            done = stack.pop()
            if not stack:
                raise ValueError
            stack[-1].append(done)
            at += 1
        elif char == '"':
            at, word = plain_string(text, at + 1)
            stack[-1].append(("quoted", word))
        else:
            end = at
            while end < len(text) and text[end] not in ' \t\r\n()"':
                end += 1
            stack[-1].append(text[at:end])
            at = end
    if len(stack) != 1 or len(stack[0]) != 1 or not isinstance(stack[0][0], list):
        raise ValueError
    return stack[0][0]


def plain_string(text: str, at: int) -> tuple[int, str]:
    word = ""
    while text[at : at + 1] != '"':
        if at >= len(text):
            raise ValueError
        if text[at] == "\\":
            at += 1
            if at >= len(text):
                raise ValueError
            word += {"n": "\n", "t": "\t", "r": "\r"}.get(text[at], text[at])
        else:
            word += text[at]
        at += 1
    return at + 1, word


def simple(node: Node) -> list[object]:
    return [
        simple(a) if isinstance(a, Node) else ("quoted", str(a)) if isinstance(a, Quoted) else a
        for a in node
    ]


def test_children_come_one_by_one_and_the_root_last() -> None:
    found = list(sexpr.children(source('(root one (a 1 2) "two" (b (c "x") d) () three)')))
    assert found == [["a", "1", "2"], ["b", ["c", "x"], "d"], [], ["root", "one", "two", "three"]]


def test_text_stays_text() -> None:
    # Reading 1e5, 0402 or 5E123456 as a number would change names and package sizes.
    words = "0402 007 1.0 1_0 1e5 5E123456 INF nil t ;CS 'CS A[0] #CS ."
    assert " ".join(map(str, whole(f"({words})"))) == words


def test_a_no_break_space_belongs_to_its_word() -> None:
    assert list(whole("(a\u00a0b c)")) == ["a\u00a0b", "c"]


def test_all_spaces_that_python_would_part_words_at_are_known() -> None:
    odd = {chr(code) for code in range(128, 0x110000) if chr(code).isspace()}
    assert set(sexpr._ODD_SPACES) == odd


def test_quoted_and_bare_are_told_apart() -> None:
    node = whole('(net "9" 9)')
    assert [isinstance(atom, Quoted) for atom in node] == [False, True, False]


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        (r"\"", '"'),
        (r"\\", "\\"),
        (r"\n", "\n"),
        (r"\x41", "A"),
        (r"\101", "A"),
        (r"C:\\lib\\", "C:\\lib\\"),
        ("two\nlines", "two\nlines"),
        ("(not a list)", "(not a list)"),
    ],
)
def test_escapes(written: str, meant: str) -> None:
    assert whole(f'(s "{written}")')[1] == meant
    assert whole(f'(s 1 "{written}" (t))')[2] == meant


def test_backslashes_in_a_bare_word_are_its_own() -> None:
    assert whole(r"(source C:\Users\n)")[1] == r"C:\Users\n"


def test_every_list_knows_where_it_began() -> None:
    text = '(root\n  (a 1)\n  (b "x")\n  (c (d\n (e 2)))\n)'
    seen: list[Node] = []
    for child in sexpr.children(source(text)):
        seen.append(child)
        while any(isinstance(a, Node) for a in child):
            child = next(a for a in child if isinstance(a, Node))
            seen.append(child)
    assert {node[0]: text[node.offset + 1] for node in seen if node} == {
        "a": "a", "b": "b", "c": "c", "d": "d", "e": "e", "root": "r",
    }  # fmt: skip


def test_mark_line_ends_and_remarks_before_the_root() -> None:
    text = b"\xef\xbb\xbf# written by hand (yes)\r\n\r\n(root\r\n (a 1)\r\n)\r\n"
    assert list(sexpr.children(Source("x", text))) == [["a", "1"], ["root"]]


@pytest.mark.parametrize(
    ("text", "line", "expected"),
    [
        ("", 1, r"'\('"),
        ("word", 1, r"'\('"),
        ("(root\n(a", 2, r"'\)'"),
        ('(root\n (a "x', 2, "'\"'"),
        ('(root\n (a "x\\', 2, "'\"'"),
        ("(root)\n)", 2, "end of the file"),
        ("(root)\n(more)", 2, "end of the file"),
        ("(root\n\n\x00)", 3, "control"),
        ('(root\n "\\x00")', 2, "control"),
        ("(root\n" + "(" * 101 + ")" * 102, 2, "100"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(text: str, line: int, expected: str) -> None:
    with pytest.raises(InputError) as caught:
        list(sexpr.children(source(text)))
    assert caught.value.line == line
    assert re.search(expected, caught.value.expected)
    assert len(str(caught.value)) < 120


def test_depth_up_to_the_cap_is_read() -> None:
    assert len(list(sexpr.children(source("(" * 100 + ")" * 100)))) == 2


WORDS = st.text("abcXYZ019.-+_*&~{}/\\µ\u00a0'#;[]", min_size=1, max_size=6)
STRINGS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=8)
TREES = st.recursive(
    st.one_of(WORDS, STRINGS.map(lambda s: ("quoted", s))),
    lambda inner: st.lists(inner, max_size=5),
    max_leaves=30,
)
BLANKS = st.sampled_from([" ", "\n", "\t", "\r\n ", "  "])


def written(tree: object, blank: str) -> str:
    if isinstance(tree, list):
        return "(" + blank.join(written(each, blank) for each in tree) + blank + ")"
    if isinstance(tree, tuple):
        return '"' + str(tree[1]).replace("\\", "\\\\").replace('"', '\\"') + '"'
    return str(tree)


@given(st.lists(TREES, max_size=5), BLANKS)
def test_what_is_written_is_read_again(tree: list[object], blank: str) -> None:
    text = written(tree, blank)
    assert simple(whole(text)) == tree
    assert plain(text) == tree


@given(st.text('() "\\\nab\u00a0'))
@example('("\\"")')
@example('(a "b" "")')
def test_any_text_is_read_as_the_slow_reader_reads_it(text: str) -> None:
    try:
        expected: object = plain(text)
    except ValueError:
        expected = InputError
    try:
        found = list(sexpr.children(source(text)))
        lists, root = found[:-1], found[-1]
    except InputError:
        assert expected is InputError
        return
    assert isinstance(expected, list)
    assert [simple(each) for each in lists] == [e for e in expected if isinstance(e, list)]
    assert simple(root) == [e for e in expected if not isinstance(e, list)]


SAFE = st.text("bcdXYZ", min_size=1, max_size=6)  # nothing that sexpdata reads as a number or sign
SAFE_TREES = st.recursive(
    st.one_of(SAFE, STRINGS.filter(str.isascii).map(lambda s: ("quoted", s))),
    lambda inner: st.lists(inner, max_size=5),
    max_leaves=20,
)


def from_sexpdata(tree: object) -> object:
    if isinstance(tree, list):
        return [from_sexpdata(each) for each in tree]
    return str(tree) if isinstance(tree, sexpdata.Symbol) else ("quoted", tree)


@given(st.lists(SAFE_TREES, max_size=5))
def test_safe_text_reads_as_sexpdata_reads_it(tree: list[object]) -> None:
    text = written(tree, " ")
    loaded = sexpdata.loads(text, nil=None, true=None, false=None, line_comment="\uffff")
    assert simple(whole(text)) == from_sexpdata(loaded)


@pytest.mark.parametrize(
    ("head", "word"),
    [
        (b"(kicad_pcb (version 4)", "kicad_pcb"),
        (b"\xef\xbb\xbf\r\n( export (version D)", "export"),
        (b"# remark\n(export", "export"),
        (b"Ref,Value", ""),
        (b"", ""),
        (b"((a))", ""),
    ],
)
def test_the_word_of_the_root(head: bytes, word: str) -> None:
    assert sexpr.root_word(head) == word


@pytest.mark.slow
@pytest.mark.parametrize(
    "text",
    [
        '(root "' + "a" * 10_000_000,
        '(root "' + "\\\\" * 5_000_000 + '")',
        "(root" + ' "' * 2_000_001,
        "(" * 1_000_000,
        "(root" + " (a b" * 90 + ' "x' * 1_000_000,
        "(root " + "a" * 10_000_000 + '"x")',
    ],
    ids=["open string", "backslashes", "quotes", "brackets", "open lists", "long word"],
)
def test_hostile_text_takes_bounded_time(text: str) -> None:
    # pytest-timeout bounds it: anything worse than linear would run for hours.
    assert outcome(text) in ("read", "refused")


def outcome(text: str) -> str:
    try:
        return "read" if list(sexpr.children(source(text))) else "nothing"
    except InputError as error:
        return "refused" if len(str(error)) < 120 else "too long a message"
