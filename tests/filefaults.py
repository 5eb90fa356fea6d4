"""Single mistakes written into the text of real design files, as a hand or a careless merge would.

Nothing here knows the reader under test: brackets are matched by a few lines of its own, and what
is not touched keeps its bytes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from commands import run

_STEP = re.compile(r'"(?:[^"\\]|\\.)*"|[()]', re.DOTALL)
_ATOM = r'("(?:[^"\\]|\\.)*"|[^\s()"]+)'

Span = tuple[int, int]


def plain(text: str) -> str:
    """An atom without its quotes."""
    return re.sub(r"\\(.)", r"\1", text[1:-1]) if text.startswith('"') else text


def quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def lists(text: str, start: int, depth: int = 1) -> Iterator[Span]:
    """The lists ``depth`` brackets below the one that opens at ``start``."""
    level, begun = 0, 0
    for found in _STEP.finditer(text, start):
        if found[0] == "(":
            if level == depth:
                begun = found.start()
            level += 1
        elif found[0] == ")":
            level -= 1
            if level == depth:
                yield begun, found.end()
            if level == 0:
                return


def atoms(text: str, span: Span) -> list[str]:
    """The atoms that stand in a list itself, its head among them."""
    own, at = [], span[0] + 1
    for inner in [*lists(text, span[0]), (span[1] - 1, span[1])]:
        own += re.findall(_ATOM, text[at : inner[0]])
        at = inner[1]
    return [plain(atom) for atom in own]


@dataclass
class Tree:
    """The text of one bracketed file, and where things stand in it."""

    text: str

    def splice(self, span: Span, new: str) -> None:
        self.text = self.text[: span[0]] + new + self.text[span[1] :]

    def top(self, *heads: str) -> list[Span]:
        root = self.text.index("(")
        return [span for span in lists(self.text, root) if self.head(span) in heads]

    def head(self, span: Span) -> str:
        found = re.match(r"\(\s*" + _ATOM, self.text[span[0] : span[0] + 200])
        return plain(found[1]) if found else ""

    def inside(self, span: Span, *heads: str) -> list[Span]:
        return [s for s in lists(self.text, span[0]) if self.head(s) in heads]

    def first(self, span: Span, head: str) -> Span:
        return self.inside(span, head)[0]


class Board(Tree):
    """A board file of any age: parts by ref, pads by number."""

    def parts(self) -> list[Span]:
        return self.top("footprint", "module")

    def _field(self, span: Span, name: str) -> Span:
        """The list that holds a part's reference or value."""
        for inner in self.inside(span, "property", "fp_text"):
            words = atoms(self.text, inner)
            if words[1].lower() == name:
                return inner
        raise LookupError(name)

    def ref(self, span: Span) -> str:
        return atoms(self.text, self._field(span, "reference"))[2]

    def part(self, ref: str) -> Span:
        for span in self.parts():
            if self.ref(span) == ref:
                return span
        raise LookupError(ref)

    def pads(self, ref: str, number: str) -> list[Span]:
        found = self.inside(self.part(ref), "pad")
        return [span for span in found if atoms(self.text, span)[1] == number]

    def net(self, ref: str, number: str) -> str:
        for span in self.pads(ref, number):
            for net in self.inside(span, "net"):
                return atoms(self.text, net)[-1]
        return ""

    def _net_list(self, name: str) -> str:
        """How the file writes a net at a pad: with its number, when the file numbers nets."""
        known = self.top("net")
        numbers = {atoms(self.text, span)[-1]: atoms(self.text, span)[1] for span in known}
        if not known:
            return f"(net {quoted(name)})"
        if name not in numbers:
            numbers[name] = str(1 + max(int(number) for number in numbers.values()))
            line = f"\n  (net {numbers[name]} {quoted(name)})"
            self.splice((known[-1][1], known[-1][1]), line)
        return f"(net {numbers[name]} {quoted(name)})"

    def wire(self, ref: str, number: str, net: str) -> None:
        """Every pad of that number on another net; on none for ""."""
        new = self._net_list(net) if net else ""
        assert self.pads(ref, number), (ref, number)
        for index in range(len(self.pads(ref, number))):
            span = self.pads(ref, number)[index]
            old = self.inside(span, "net")
            self.splice(old[0] if old else (span[1] - 1, span[1] - 1), new)

    def remove(self, ref: str) -> None:
        self.splice(self.part(ref), "")

    def rename(self, ref: str, new: str) -> None:
        self._third(self._field(self.part(ref), "reference"), new)

    def value(self, ref: str, new: str) -> None:
        self._third(self._field(self.part(ref), "value"), new)

    def _third(self, span: Span, new: str) -> None:
        words = list(re.finditer(_ATOM, self.text[span[0] : span[1]]))
        start = span[0] + words[2].start()
        self.splice((start, span[0] + words[2].end()), quoted(new))

    def place(self, ref: str, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> None:
        """A part moved and turned; its pads state absolute angles, so they turn with it."""
        x, y, angle = self._at(self.part(ref))
        self._put(self.part(ref), x + dx, y + dy, angle + turn)
        for index in range(len(self.inside(self.part(ref), "pad")) if turn else 0):
            pad = self.inside(self.part(ref), "pad")[index]
            px, py, own = self._at(pad)
            self._put(pad, px, py, own + turn)

    def shift_pad(self, ref: str, number: str, dx: float, dy: float) -> None:
        pad = self.pads(ref, number)[0]
        x, y, angle = self._at(pad)
        self._put(pad, x + dx, y + dy, angle)

    def _at(self, span: Span) -> tuple[float, float, float]:
        words = [float(word) for word in atoms(self.text, self.first(span, "at"))[1:] if word]
        return words[0], words[1], words[2] if len(words) > 2 else 0.0

    def where(self, ref: str) -> tuple[float, float]:
        return self._at(self.part(ref))[:2]

    def _put(self, span: Span, x: float, y: float, angle: float) -> None:
        self.splice(self.first(span, "at"), f"(at {x:.6g} {y:.6g} {angle % 360:g})")

    def edges(self) -> list[Span]:
        """The drawn items of the board's edge, in file order."""
        drawn = self.top("gr_line", "gr_arc", "gr_circle", "gr_rect")
        return [s for s in drawn if re.search(r'\(layer "?Edge\.Cuts', self.text[s[0] : s[1]])]

    def drop_edge(self, index: int) -> None:
        self.splice(self.edges()[index], "")

    def move_edge(self, index: int, dx: float, dy: float) -> None:
        """Both ends of one item of the edge moved."""
        span = self.edges()[index]
        for head in ("start", "end", "mid", "center"):
            for inner in self.inside(self.edges()[index], head):
                x, y = map(float, atoms(self.text, inner)[1:3])
                self.splice(inner, f"({head} {x + dx:.6g} {y + dy:.6g})")
        assert span[0] == self.edges()[index][0]

    def add(self, text: str) -> None:
        end = self.text.rstrip().rindex(")")
        self.splice((end, end), text + "\n")

    def track(self, ends: Sequence[float], net: str, layer: str = "F.Cu") -> None:
        """A track of 0.25 mm; ``ends`` is x, y, x, y."""
        written = self._net_list(net)
        number = written if not self.top("net") else f"(net {written.split()[1]})"
        x1, y1, x2, y2 = ends
        line = f"(segment (start {x1:g} {y1:g}) (end {x2:g} {y2:g}) (width 0.25)"
        self.add(f"  {line} (layer {layer}) {number})")


class Netlist(Tree):
    """A netlist file: components and nets."""

    def _under(self, section: str) -> list[Span]:
        return [s for top in self.top(section) for s in lists(self.text, top[0])]

    def _comp(self, ref: str) -> Span:
        for span in self._under("components"):
            if atoms(self.text, self.first(span, "ref"))[1] == ref:
                return span
        raise LookupError(ref)

    def _net(self, name: str) -> Span | None:
        for span in self._under("nets"):
            if atoms(self.text, self.first(span, "name"))[1] == name:
                return span
        return None

    def _node(self, ref: str, pin: str) -> Span | None:
        for net in self._under("nets"):
            for node in self.inside(net, "node"):
                if (self._word(node, "ref"), self._word(node, "pin")) == (ref, pin):
                    return node
        return None

    def _word(self, span: Span, head: str) -> str:
        return atoms(self.text, self.first(span, head))[1]

    def net(self, ref: str, pin: str) -> str:
        for net in self._under("nets"):
            for node in self.inside(net, "node"):
                if (self._word(node, "ref"), self._word(node, "pin")) == (ref, pin):
                    return self._word(net, "name")
        return ""

    def wire(self, ref: str, pin: str, net: str) -> None:
        node = self._node(ref, pin)
        text = f"(node (ref {quoted(ref)}) (pin {quoted(pin)}))"
        if node is not None:
            text = self.text[node[0] : node[1]]
            self.splice(node, "")
        if not net:
            return
        home = self._net(net)
        if home is None:
            last = self._under("nets")[-1][1]
            self.splice((last, last), f"\n    (net (code 9999) (name {quoted(net)}) {text})")
        else:
            self.splice((home[1] - 1, home[1] - 1), " " + text)

    def remove(self, ref: str) -> None:
        self.splice(self._comp(ref), "")
        nodes = [n for net in self._under("nets") for n in self.inside(net, "node")]
        for node in reversed([n for n in nodes if self._word(n, "ref") == ref]):
            self.splice(node, "")

    def value(self, ref: str, new: str) -> None:
        self.splice(self.first(self._comp(ref), "value"), f"(value {quoted(new)})")

    def rename(self, ref: str, new: str) -> None:
        self.splice(self.first(self._comp(ref), "ref"), f"(ref {quoted(new)})")
        nodes = [n for net in self._under("nets") for n in self.inside(net, "node")]
        for node in reversed([n for n in nodes if self._word(n, "ref") == ref]):
            self.splice(self.first(node, "ref"), f"(ref {quoted(new)})")


@dataclass
class Project:
    """The files of one board as text: what is edited is written, the rest stays as it was."""

    board: Board | None
    net: Netlist | None
    bom: str = ""
    manifest: str = ""
    extra: dict[str, str] = field(default_factory=dict)

    def _each(self) -> list[Board | Netlist]:
        return [tree for tree in (self.board, self.net) if tree is not None]

    def wire(self, ref: str, pin: str, net: str) -> None:
        for tree in self._each():
            tree.wire(ref, pin, net)

    def swap(self, ref: str, one: str, other: str) -> None:
        """Two pins of a part with each other's nets."""
        first, second = self.on(ref, one), self.on(ref, other)
        self.wire(ref, one, second)
        self.wire(ref, other, first)

    def on(self, ref: str, pin: str) -> str:
        return self._each()[0].net(ref, pin)

    def remove(self, *refs: str) -> None:
        for tree in self._each():
            for ref in refs:
                tree.remove(ref)

    def value(self, ref: str, new: str) -> None:
        for tree in self._each():
            tree.value(ref, new)

    def rename(self, ref: str, new: str) -> None:
        for tree in self._each():
            tree.rename(ref, new)

    def line(self, old: str, new: str) -> None:
        """One text of the BOM for another; the text must be there once."""
        assert self.bom.count(old) == 1, (old, self.bom.count(old))
        self.bom = self.bom.replace(old, new)

    def state(self, old: str, new: str) -> None:
        """One text of the manifest for another; appended when ``old`` is ""."""
        if not old:
            self.manifest += new
            return
        assert self.manifest.count(old) == 1, (old, self.manifest.count(old))
        self.manifest = self.manifest.replace(old, new)


@dataclass(frozen=True)
class Files:
    """Where a board's files are read from."""

    board: Path | None = None
    net: Path | None = None
    bom: Path | None = None
    manifest: str = ""

    def project(self) -> Project:
        return Project(
            Board(_read(self.board)) if self.board else None,
            Netlist(_read(self.net)) if self.net else None,
            _read(self.bom) if self.bom else "",
            self.manifest,
        )


def _read(path: Path) -> str:
    return path.read_bytes().decode("utf-8", "surrogateescape")


Finding = tuple[str, str]
"""A rule's slug and the subject it names."""


@dataclass(frozen=True)
class Judged:
    """What one run says: what fails, how badly, and what cannot be judged."""

    found: frozenset[Finding]
    stops: frozenset[Finding]
    needs: dict[str, str]
    report: dict[str, object]


def judge(project: Project, folder: Path) -> Judged:
    """``counterpoise check`` on the project's files, written into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    names = {
        "layout": ("board.kicad_pcb", project.board.text if project.board else ""),
        "netlist": ("board.net", project.net.text if project.net else ""),
        "bom": ("bom.csv", project.bom),
    }
    used = {kind: name for kind, (name, text) in names.items() if text}
    for name, text in names.values():
        if text:
            (folder / name).write_bytes(text.encode("utf-8", "surrogateescape"))
    for name, text in project.extra.items():
        (folder / name).write_text(text, encoding="utf-8")
    files = "".join(f'{kind} = "{name}"\n' for kind, name in used.items())
    head, board, rest = project.manifest.partition("[board]\n")
    text = f"{head}[board]\n{files}{rest}" if board else f"[board]\n{files}{project.manifest}"
    (folder / "board.toml").write_text(text, encoding="utf-8")
    ran = run("check", "--format", "json", folder / "board.toml")
    assert ran.status in (0, 1), ran.err
    return judged(json.loads(ran.out))


def judged(report: dict[str, object]) -> Judged:
    findings = report["findings"]
    assert isinstance(findings, list)
    pairs = [((f["rule"], s), f["severity"]) for f in findings for s in f["subjects"] or [""]]
    needs: dict[str, str] = {}
    coverage = report["coverage"]
    assert isinstance(coverage, list)
    for row in coverage:
        for need in row["needs"]:
            needs[row["rule"]] = needs.get(row["rule"], "") + need["where"] + "\n"
    return Judged(
        frozenset(pair for pair, _ in pairs),
        frozenset(pair for pair, severity in pairs if severity == "stop"),
        needs,
        report,
    )


Edit = Callable[[Project], None]
