"""From PGN text to games: where a game begins and ends, its tags, its tokens.

Pure text work without any chess. The rules:

* Lines end with LF, CRLF (any number of CR) or CR. A byte order mark at the start is skipped; bytes that are not
  UTF-8 become surrogates, as Python's ``surrogateescape`` has it. A line with ``%`` in column 1 is skipped, except inside a comment.
* A tag line begins (after blanks) with ``[``, a name and a double quote. It may hold several
  pairs; moves may follow the last pair on the same line. A pair that is not well formed is
  skipped with the rest of its line; so is, between tags, any other line that begins with ``[``. ``\\"`` is a quote and ``\\\\`` a backslash. A tag given twice
  has its last value. Values are stripped of ASCII white space.
* A game starts at its first tag line, or without tags at a line whose first token (after a move
  number) has the form of a move. Any other line between games is free text and no game.
* A game is its tag section and the movetext up to a blank line outside a comment, or up to a tag
  line outside a comment, or up to the end of the file. Blank lines between tags, or between tags
  and movetext, end nothing.
* A line beginning with ``[Event "`` begins a new game whatever came before: tags without movetext, or
  a comment that nobody closed. Only directly below a line that begins with ``[``, in a tag section
  without an Event, it belongs to the game whose tags these are.
* ``{`` to the next ``}`` is a comment, over lines and blank lines; ``;`` outside a comment hides
  the rest of the line. Variations in parentheses nest; nothing in them counts, but a comment or
  ``;`` in them hides their parentheses.
"""

import re
from dataclasses import dataclass, field

TAG_LINE = re.compile(r'\s*\[\s*\w+\s*"', re.ASCII)
TAG_PAIR = re.compile(r'\s*\[\s*(\w+)\s*"((?:[^"\\]|\\.)*)"\s*\]', re.ASCII)
TOKEN = re.compile(r"\s+|\$\d*|[{}();]|[^\s{}();$]+", re.ASCII)
MOVE_NUMBER = re.compile(r"\d+\.+|\.+|\d+$", re.ASCII)
MOVE_FORM = re.compile(r"[NBRQK]?[a-h]?[1-8]?x?[a-h][1-8](=[NBRQ])?|O-O(-O)?|0-0(-0)?")
SUFFIX = "+#!?"
BARE_RETURN = re.compile(r"\r(?!\r*(?:\n|\Z))")


@dataclass
class Game:
    """One game as written. ``tokens`` are the words of the main line in order, each a pair
    ``("word", text)`` or ``("comment", text)``; variations are gone already. ``lines`` are all its
    lines, from that of its first tag on."""

    tags: dict = field(default_factory=dict)
    tokens: list = field(default_factory=list)
    lines: list = field(default_factory=list)
    comment_left_open: bool = False


def without_move_number(word):
    """``12.e4`` -> ``e4``, ``1...`` -> the empty string."""
    return MOVE_NUMBER.sub("", word, count=1) if MOVE_NUMBER.match(word) else word


def begins_with_a_move(line):
    for word in line.split():
        word = re.split(r"[{}();$]", without_move_number(word))[0]
        if word:
            return MOVE_FORM.fullmatch(word.rstrip(SUFFIX)) is not None
    return False


class Splitter:
    """Feed it lines; it hands back finished games."""

    def __init__(self):
        self.below_bracket = False
        self.reset()

    def reset(self):
        self.game = None
        self.in_movetext = False
        self.depth = 0
        self.comment = None

    def finish(self):
        game = self.game
        if game is not None and self.comment is not None:
            game.comment_left_open = True
        self.reset()
        return [] if game is None else [game]

    def line(self, line):
        line = line.rstrip("\r\n")
        finished = self.take(line, not line.strip())
        if self.game is not None:
            self.game.lines.append(line)
        self.below_bracket = line.startswith("[")
        return finished

    def take(self, line, blank):
        finished = []
        if line.startswith('[Event "') and not self.takes_event():
            finished = self.finish()
        if self.comment is not None:
            self.movetext(line)
        elif line.startswith("%"):
            pass
        elif blank:
            if self.in_movetext:
                finished += self.finish()
        elif TAG_LINE.match(line):
            if self.in_movetext:
                finished += self.finish()
            self.game = self.game or Game()
            rest = self.tag_pairs(line)
            if rest.strip() and not rest.lstrip().startswith("["):
                self.movetext(rest)
        elif self.game is not None and not self.in_movetext and line.lstrip().startswith("["):
            pass
        elif self.game is not None or begins_with_a_move(line):
            self.game = self.game or Game()
            self.movetext(line)
        return finished

    def takes_event(self):
        """Whether an Event on the next line belongs to the open tag section."""
        in_tags = self.game is not None and not self.in_movetext and self.comment is None
        return in_tags and self.below_bracket and "Event" not in self.game.tags

    def tag_pairs(self, line):
        """Keeps the pairs of a tag line; returns what stands after the last good one."""
        end = 0
        while pair := TAG_PAIR.match(line, end):
            value = re.sub(r'\\(["\\])', r"\1", pair.group(2))
            self.game.tags[pair.group(1)] = value.strip(" \t\r\n\f")
            end = pair.end()
        return line[end:]

    def movetext(self, line):
        self.in_movetext = True
        at = 0
        while at < len(line) or self.comment is not None:
            if self.comment is not None:
                end = line.find("}", at)
                if end < 0:
                    self.comment += line[at:] + "\n"
                    return
                self.token("comment", self.comment + line[at:end])
                self.comment = None
                at = end + 1
                continue
            token = TOKEN.match(line, at).group()
            at += len(token)
            if token == "{":
                self.comment = ""
            elif token == ";":
                return
            elif token == "(":
                self.depth += 1
            elif token == ")" and self.depth > 0:
                self.depth -= 1
            elif not token.isspace():
                self.token("word", token)

    def token(self, kind, text):
        if self.depth == 0:
            self.game.tokens.append((kind, text))


def split_games(lines):
    """Yields every :class:`Game` of an iterable of lines (one file)."""
    splitter = Splitter()
    for number, text in enumerate(lines):
        text = text.removeprefix("\ufeff") if number == 0 else text
        for line in BARE_RETURN.split(text):
            yield from splitter.line(line)
    yield from splitter.finish()
