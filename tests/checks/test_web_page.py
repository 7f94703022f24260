"""The page of a night against the rules of HTML, and against those for pages that everyone can read."""

import re
import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import html5lib
import numpy as np
import pytest

from tests.factories import make_triage
from triage.export.night_page import Picture, night_page
from triage.export.page_style import DARK, LIGHT, MARK, MARK_QUIET, SKY
from triage.export.privacy import public_place
from triage.export.small_pictures import jpeg
from triage.export.taken_along import Export
from triage.records.decision import Verdict

HTML = "HTML Living Standard, parse errors"
WCAG = "W3C, WCAG 2.2"
XHTML = "{http://www.w3.org/1999/xhtml}"
NASTY = '</style><script>alert("1")</script> & "quotes" \x00\x0b \ud800 狐'


def page_of(triage, tag="fox"):
    keys = [frame.key for frame in triage.frames]
    export = Export(
        triage=triage,
        digest="0" * 32,
        made=datetime(2026, 10, 4, 9, 0, tzinfo=UTC),
        verdicts={keys[1]: Verdict.KEEP},
        tags={keys[1]: (tag,)},
        place=public_place(51.2345, 7.3456, 0.1),
    )
    data, width, height = jpeg(np.full((200, 300, 3), 90, np.uint8), 240)
    return night_page(export, [Picture(triage.frames[1], data, width, height)]).decode("utf-8")


def nasty():
    triage = make_triage()
    first, *rest = triage.faults
    doubt = replace(first, say=NASTY, remedy=NASTY, confidence=0.3)
    return replace(triage, night=replace(triage.night, summary=NASTY), faults=(first, *rest, doubt))


@pytest.fixture(scope="module", params=["a usual night", "words that look like HTML", "a night in order"])
def page(request):
    match request.param:
        case "a usual night":
            return page_of(make_triage())
        case "a night in order":
            return page_of(replace(make_triage(), faults=(), events=()))
        case _:
            return page_of(nasty(), NASTY)


@pytest.fixture(scope="module")
def tree(page):
    return html5lib.parse(page)


def every(tree, *names):
    return [element for name in names for element in tree.iter(XHTML + name)]


@pytest.mark.source("standard", HTML)
@pytest.mark.source("library", "html5lib 1.1, its strict parser, which refuses the first parse error")
def test_no_parser_finds_an_error_in_it(page):
    html5lib.HTMLParser(strict=True).parse(page)


@pytest.mark.source("library", "html5lib 1.1")
def test_the_strict_parser_does_refuse(page):
    with pytest.raises(html5lib.html5parser.ParseError):
        html5lib.HTMLParser(strict=True).parse(page.replace("</table>", "</tabel>", 1))


@pytest.mark.source("tool", "HTML Tidy: neither errors nor warnings")
def test_tidy_has_nothing_to_say(page, program):
    words = [program("tidy"), "-q", "-e", "-utf8", "--drop-empty-elements", "no"]
    done = subprocess.run(words, check=False, input=page.encode("utf-8"), capture_output=True)
    assert (done.returncode, done.stderr.decode()) == (0, "")


@pytest.mark.source("standard", HTML.partition(",")[0] + ": elements that load, link or run")
def test_it_holds_all_it_shows_and_asks_nothing_of_a_network(page, tree):
    assert every(tree, "script", "link", "iframe", "object", "embed", "form", "a", "base") == []
    pictures = every(tree, "img")
    assert pictures
    assert all(one.get("src", "").startswith("data:image/jpeg;base64,") for one in pictures)
    style = "".join(one.text or "" for one in every(tree, "style"))
    assert "url(" not in style
    assert "@import" not in style
    assert re.findall(r"https?:|//\w", re.sub(r"base64,[^\"]*", "", page)) == []
    assert not [name for one in tree.iter() for name in one.attrib if name.startswith("on")]


@pytest.mark.source(
    "standard", WCAG + ", 1.1.1, 1.3.1, 2.4.2, 2.4.6, 3.1.1: names for all that is seen, headings in order"
)
def test_it_can_be_heard_as_well_as_seen(tree):
    assert tree.get("lang") == "en"
    (title,), (h1,) = every(tree, "title"), every(tree, "h1")
    assert title.text
    assert h1.text == title.text
    assert all(one.get("alt") and one.get("width") and one.get("height") for one in every(tree, "img"))
    order = [
        int(one.tag[-1]) for one in tree.iter() if one.tag in {XHTML + f"h{level}" for level in range(1, 7)}
    ]
    assert order[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(order))
    names = {one.get("id") for one in tree.iter() if one.get("id")}
    assert len(names) == len([one for one in tree.iter() if one.get("id")])
    assert all(one.get("aria-labelledby") in names for one in every(tree, "section"))
    drawn = [one for one in tree.iter() if str(one.tag).endswith("}svg")]
    assert drawn
    assert all(one.get("aria-label") or one.get("aria-hidden") == "true" for one in drawn)
    for table in every(tree, "table"):
        assert every(table, "caption")
        assert all(one.get("scope") for one in every(table, "th"))
    assert len(every(tree, "main")) == 1


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    light = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2]


def contrast(one, other):
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.source("standard", WCAG + ", 1.4.3 and 1.4.11: 4.5 to 1 for words, 3 to 1 for what must be seen")
@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_and_marks_stand_out(colours):
    for ground in ("ground", "sheet"):
        for ink in ("ink", "quiet", "warm", "cool"):
            assert contrast(colours[ink], colours[ground]) >= 4.5, (ink, ground)


@pytest.mark.source("standard", WCAG + ", 1.4.11: 3 to 1 to the sky beside, or to the outline")
def test_marks_stand_out_from_every_sky():
    for kind, sky in SKY.items():
        assert contrast(MARK_QUIET, sky) >= 3.0, kind
        # A filled mark has a dark outline: by day the outline parts it from the sky, by night its own colour.
        assert max(contrast(MARK, sky), contrast("#10131a", sky)) >= 3.0, kind
