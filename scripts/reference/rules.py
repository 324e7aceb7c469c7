"""What the tags and comments of a game mean: pace, filters, clocks, evaluations.

* Pace, from the first period of TimeControl: ``base`` or ``base+increment`` has t = base + 60 x
  increment seconds, ``moves/seconds`` has t = seconds. t of a day and more is correspondence, so
  is ``-``. t < 180 bullet, <= 600 blitz, < 3600 rapid, else classical. ``?``, ``*180``, anything
  else and no tag are unknown.
* The reasons for leaving a game out stand in ``REASONS`` in the order in which they are asked.
  Termination, Variant and title are compared in any case. A Variant, SetUp or FEN tag with an
  empty value is like none. A rating is digits only, 1 to 3999. ``casual`` and ``unrated`` must be
  whole words of the Event (runs of letters and digits). The date is UTCDate if that tag stands,
  else Date; anything but ``YYYY.MM.DD`` in digits is outside the dates, if dates are asked for.
* Clocks are read only under a TimeControl of one period ``base`` or ``base+increment``. In the
  comments after a move the first well-formed ``[%clk h:mm:ss]``, with or without a fraction (cut
  to tenths), counts; minutes and seconds are two digits from 00 to 59.
* A player's group is the top five bits of xxh3-64, seed 0, of the name: trimmed of ASCII white space,
  in ASCII lower case. No tag, an empty one, ``?`` and ``-`` are no name: then it is those of xxh3-64 of
  the game's text, all of its lines without ASCII white space, with seed 0 for White and 1 for Black.
* Evaluations: the first well-formed ``[%eval x]`` after the move, pawns from White's view as a
  decimal, or ``#n``, ``#-n`` for a mate; only the first operand before a comma. Centipawns are
  rounded half away from zero and clamped to +-1000; a mate is the clamp.
"""

import re
from decimal import ROUND_HALF_UP, Decimal

import xxhash

PACES = ["bullet", "blitz", "rapid", "classical", "correspondence", "unknown"]
RESULTS = ("1-0", "0-1", "1/2-1/2")
REASONS = [
    "variant", "no_result", "no_rating", "computer", "not_played_out", "unrated",
    "outside_dates", "other_pace", "rating_gap", "broken", "no_moves", "illegal_move",
]
START = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq -"
DAY = 86400
ONE_PERIOD = re.compile(r"(\d+)(?:\+(\d+))?", re.ASCII)
MOVES_IN_TIME = re.compile(r"\d+/(\d+)", re.ASCII)
DATE = re.compile(r"\d{4}\.\d\d\.\d\d", re.ASCII)


def has_date(tags):
    """Whether the game has a whole date, with a month of 1 to 12 and a day of 1 to 31."""
    date = tags.get("UTCDate", tags.get("Date", "")).strip()
    return bool(DATE.fullmatch(date)) and 1 <= int(date[5:7]) <= 12 and 1 <= int(date[8:]) <= 31

CLOCK = re.compile(r"\[%clk\s+(\d+):([0-5]\d):([0-5]\d)(?:\.(\d+))?\s*\]", re.ASCII)
EVAL = re.compile(r"\[%eval\s+([+-]?\d+(?:\.\d+)?|#[+-]?\d+)\s*(?:,[^\]]*)?\]", re.ASCII)


def pace(time_control):
    if time_control == "-":
        return "correspondence"
    first = time_control.split(":")[0]
    if match := ONE_PERIOD.fullmatch(first):
        seconds = int(match.group(1)) + 60 * int(match.group(2) or 0)
    elif match := MOVES_IN_TIME.fullmatch(first):
        seconds = int(match.group(1))
    else:
        return "unknown"
    if seconds >= DAY:
        return "correspondence"
    if seconds < 180:
        return "bullet"
    if seconds <= 600:
        return "blitz"
    return "rapid" if seconds < 3600 else "classical"


def increment_tenths(time_control):
    """Tenths of a second a move, or None where clocks say nothing about time spent."""
    match = ONE_PERIOD.fullmatch(time_control)
    return 10 * int(match.group(2) or 0) if match else None


def rating(text):
    if re.fullmatch(r"\d+", text, re.ASCII) and 1 <= int(text) <= 3999:
        return int(text)
    return None


def expected_milli(ours, theirs):
    """Expected score in thousandths: the higher rated side's rounded, the lower has the rest."""
    difference = abs(ours - theirs)
    higher = round(1000 / (1 + 10 ** (-difference / 400)))
    return higher if ours >= theirs else 1000 - higher


def group(game, is_white):
    """The group of the player at one side of a game, 0 to 31, and whether that side has a name."""
    name = as_written(game.tags.get("White" if is_white else "Black", "")).lower()
    if name in (b"", b"?", b"-"):
        text = as_written("".join(game.lines)).translate(None, b" \t\r\n\v\f")
        return xxhash.xxh3_64_intdigest(text, seed=0 if is_white else 1) >> 59, False
    return xxhash.xxh3_64_intdigest(name) >> 59, True


def as_written(text):
    """Its bytes, also those that are no UTF-8."""
    return text.encode("utf-8", "surrogateescape")


def clock_tenths(comments):
    match = CLOCK.search(comments)
    if not match:
        return None
    hours, minutes, seconds = (int(part) for part in match.groups()[:3])
    tenth = int((match.group(4) or "0")[0])
    return ((hours * 60 + minutes) * 60 + seconds) * 10 + tenth


def eval_centipawns(comments, white_moved):
    match = EVAL.search(comments)
    if not match:
        return None
    text = match.group(1)
    if text.startswith("#"):
        for_white = -1000 if text.startswith("#-") else 1000
    else:
        exact = (Decimal(text) * 100).quantize(Decimal(1), ROUND_HALF_UP)
        for_white = max(-1000, min(1000, int(exact)))
    return for_white if white_moved else -for_white


def words(text):
    return re.findall(r"[^\W_]+", text.lower())


def left_out_by_tags(tags, options):
    """The first reason that the tags alone give, or None. ``options`` has since, until, pace,
    max_gap, each None if not asked for."""

    def tag(name):
        return tags.get(name, "")

    if tag("Variant").lower() not in ("", "standard", "chess") or tag("SetUp") == "1":
        return "variant"
    if tag("FEN") and tag("FEN").split()[:4] != START.split():
        return "variant"
    if tag("Result") not in RESULTS:
        return "no_result"
    white, black = rating(tag("WhiteElo")), rating(tag("BlackElo"))
    if white is None or black is None:
        return "no_rating"
    if "BOT" in (tag("WhiteTitle").upper(), tag("BlackTitle").upper()):
        return "computer"
    if tag("Termination").lower() in ("abandoned", "rules infraction", "unterminated"):
        return "not_played_out"
    if {"casual", "unrated"} & set(words(tag("Event"))):
        return "unrated"
    if options.since or options.until:
        date = tags.get("UTCDate", tag("Date"))
        if not DATE.fullmatch(date):
            return "outside_dates"
        # A bound of a month alone is a prefix: it holds from its first to its last day.
        since, until = (options.since or "").replace("-", "."), options.until
        if date < since or (until and date[: len(until)] > until.replace("-", ".")):
            return "outside_dates"
    if options.pace and pace(tag("TimeControl")) not in options.pace:
        return "other_pace"
    if options.max_gap is not None and abs(white - black) > options.max_gap:
        return "rating_gap"
    return None
