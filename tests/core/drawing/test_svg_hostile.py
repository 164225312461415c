"""Files that are broken, unsafe or out of all proportion: a drawing or a sentence, soon, and in bounded memory."""

import gzip
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.drawing.drawing import Drawing
from core.drawing.svg_read import drawing_from_svg, read_drawing
from core.errors import DrawingError
from core.size import Size
from tests.core.drawing.test_svg_files import FILES

CANVAS = Size(400, 300)
SECONDS = 1.0  # of this process's own time, so that a busy machine does not count
MOST_MEMORY = 200_000_000
LONG = 4_500_000

SVG = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 400 300"'
LINE = '<path d="M10 10L20 20"/>'


def page(body: str, attributes: str = "") -> str:
    return f"<svg {SVG} {attributes}>{body}</svg>"


def declared(subset: str, body: str = LINE, head: str = "") -> str:
    return f"<!DOCTYPE svg {head}[{subset}]>{page(body)}"


def laughs() -> str:
    lines = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 12))
    return declared('<!ENTITY e0 "lol">' + lines, "<title>&e11;</title>")


def entity_chain() -> str:
    lines = "".join(f'<!ENTITY e{n} "&e{n - 1};">' for n in range(1, 50_000))
    return declared(f'<!ENTITY e0 "x">{lines}<!ATTLIST svg q CDATA "&e49999;">', "<title>&e49999;</title>")


def clones(leaf: str) -> str:
    groups = "".join(f'<g id="u{n}">{f"""<use href="#u{n - 1}"/>""" * 10}</g>' for n in range(1, 20))
    return page(f'<defs><g id="u0">{leaf}</g>{groups}</defs><use href="#u19"/>')


def clone_chain() -> str:
    links = "".join(f'<use id="u{n}" href="#u{n - 1}"/>' for n in range(1, 5000))
    return page(f'<defs><g id="u0">{LINE}</g>{links}</defs><use href="#u4999"/>')


RUNS = {
    "script": page("<script>alert(1)</script>"),
    "script in defs": page("<defs><script/></defs>" + LINE),
    "script of another namespace": page('<h:script xmlns:h="http://www.w3.org/1999/xhtml">1</h:script>'),
    "script in private data": page('<x:data xmlns:x="urn:x"><script>1</script></x:data>' + LINE),
    "script in an undrawn choice": page(
        '<switch><foreignObject requiredExtensions="urn:x"><script/></foreignObject></switch>'),
    "capitals": page("<SCRIPT>1</SCRIPT>"),
    "handler": page("<handler>1</handler>"),
    "frame": page('<iframe src="data:image/png,x"/>'),
    "onload": page(LINE, 'onload="alert(1)"'),
    "onclick": page('<path d="M10 10L20 20" onclick="alert(1)"/>'),
    "onbegin": page('<animate onbegin="alert(1)"/>'),
    "capital handler": page('<g ONLOAD="x"/>'),
    "javascript link": page(f'<a xlink:href="javascript:alert(1)">{LINE}</a>'),
    "broken up javascript": page(f'<a href=" java&#10;script:alert(1)">{LINE}</a>'),
    "capital javascript": page('<a href="JaVaScRiPt:alert(1)"/>'),
    "javascript animated in": page('<set attributeName="href" to="javascript:alert(1)"/>'),
    "data that runs": page('<a href="data:text/html,&lt;script&gt;"/>'),
    "foreign object": page("<foreignObject><p>x</p></foreignObject>"),
    "foreign object in a plain switch": page("<switch><foreignObject/></switch>"),
}  # fmt: skip

REACHES_OUTSIDE = {
    "linked picture": page('<image href="photo.jpg"/>' + LINE),
    "picture on the web": page('<image xlink:href="https://example.org/a.png"/>'),
    "picture in a file": page('<image href="file:///etc/passwd"/>'),
    "picture without a scheme": page('<image href="//example.org/a.png"/>'),
    "link": page(f'<a href="http://example.org">{LINE}</a>'),
    "clone of another file": page('<use href="other.svg#jug"/>'),
    "clone on the web": page('<use xlink:href="http://example.org/a.svg#x"/>'),
    "paint": page('<path fill="url(http://example.org/#g)" d="M0 0H5"/>'),
    "paint in a style": page('<path style="fill: url( \'file:///g.svg#g\' )" d="M0 0H5"/>'),
    "mask": page('<g mask="url(other.svg#m)"/>'),
    "import": page("<style>@import url(http://example.org/a.css);</style>"),
    "plain import": page("<style>@IMPORT 'a.css';</style>"),
    "font": page("<style>@font-face{src:url(https://example.org/a.woff)}</style>"),
    "style sheet": '<?xml-stylesheet href="http://example.org/a.css"?>' + page(LINE),
    "document type": f'<!DOCTYPE svg SYSTEM "http://example.org/a.dtd">{page(LINE)}',
    "document type in a file": f'<!DOCTYPE svg SYSTEM "file:///etc/passwd">{page(LINE)}',
    "document type made to look right": f'<!DOCTYPE svg SYSTEM "http://www.w3.org.example.org/a.dtd">{page(LINE)}',
    "entity in a file": declared('<!ENTITY x SYSTEM "file:///etc/passwd">', "<title>&x;</title>"),
    "entity on the web": declared('<!ENTITY x PUBLIC "a" "http://example.org/">', "<title>&x;</title>"),
    "parameter entity": declared('<!ENTITY % x SYSTEM "http://example.org/"> %x;'),
    "unparsed entity": declared('<!ENTITY x SYSTEM "a.gif" NDATA gif>'),
}  # fmt: skip

GROWS: dict[str, str | bytes | Callable[[], str | bytes]] = {
    "laughs": laughs,
    "chain of entities": entity_chain,
    "long entity": lambda: declared(f'<!ENTITY x "{"x" * 100_000}">', "<title>" + "&x;" * 100_000 + "</title>"),
    "short entity, often": lambda: declared(f'<!ENTITY x "{"x" * 200}">', "<title>" + "&x;" * 1_000_000 + "</title>"),
    "many entities": lambda: declared("".join(f'<!ENTITY x{n} "x">' for n in range(900))),
    "entity of markup": declared('<!ENTITY x "&#60;script/>">', "&x;"),
    "hidden attribute": declared('<!ATTLIST path onload CDATA "alert(1)">'),
    "long comment first": lambda: f"<!--{'> ' * LONG}-->{page(LINE)}",
    "many instructions first": lambda: "<?a?>" * 200_000 + page(LINE),
    "deep groups": lambda: page("<g>" * 1_000_000),
    "many elements": lambda: page("<g/>" * 1_500_000),
    "many attributes": lambda: page("<g " + " ".join(f'a{n}=""' for n in range(500_000)) + "/>"),
    "many lines": lambda: page(LINE * 40_000),
    "many landmarks": lambda: page('<circle class="landmark" id="a" cx="5" cy="5" r="1"/>' * 15_000),
    "long path": lambda: page(f'<path d="M0 0{"l1 1" * 900_000}"/>'),
    "long run": lambda: page(f'<path d="M0 0L{"1 1 " * 900_000}"/>'),
    "long run of arcs": lambda: page(f'<path d="M0 0a{"1 1 0 0011 1 " * 250_000}"/>'),
    "many moves": lambda: page(f'<path d="{"M0 0" * 900_000}"/>'),
    "many closings": lambda: page(f'<path d="M0 0{"Z" * LONG}"/>'),
    "long number": lambda: page(f'<path d="M0 0L{"1" * LONG}"/>'),
    "dots": lambda: page(f'<path d="M0 0L{"." * LONG}"/>'),
    "blanks": lambda: page(f'<path d="M0 0L{" " * LONG}"/>'),
    "paths just too long together": lambda: page(f'<path d="M0 0{"l1 1" * 45_000}"/>' * 5),
    "long points": lambda: page(f'<polyline points="{"1 1 " * 1_000_000}"/>'),
    "rules": lambda: page(f"<style>{'.a{}' * 500_000}</style>"),
    "open rules": lambda: page(f"<style>{'{' * LONG}</style>"),
    "open comments": lambda: page(f"<style>{'/*' * LONG}</style>"),
    "many styles": lambda: page(f"<style>{'.a{fill:red}' * 100}</style>" * 2000),
    "long style": lambda: page(f'<path style="{"a-" * 1_000_000}" d="M0 0H5"/>'),
    "long class": lambda: page(f'<path class="{"a " * 1_000_000}" d="M0 0H5"/>'),
    "long transform": lambda: page(f'<path transform="{"scale(1)" * 500_000}" d="M0 0H5"/>'),
    "clones of clones": lambda: clones(LINE),
    "clones of nothing": lambda: clones(""),
    "chain of clones": clone_chain,
    "clone of itself": page('<g id="a"><use href="#a"/></g>'),
    "clones of each other": page('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
    "symbol of itself": page('<symbol id="a"><use href="#a"/></symbol><use href="#a"/>'),
    "packed zeros": lambda: gzip.compress(b"\0" * 60_000_000, 9),
    "packed page": lambda: gzip.compress(page("<g/>" * 6_000_000).encode(), 9),
    "twenty megabytes": lambda: page("<desc>" + "x" * 20_000_000 + "</desc>"),
    "miles of line": lambda: page(f'<path d="M0 0{"H400H0" * 4000}"/>'),
}

BROKEN: dict[str, str | bytes] = {
    "empty": b"",
    "blank": "  \n ",
    "cut short": page(LINE)[:-9],
    "cut in a tag": page(LINE)[:-20],
    "cut in the head": "<svg ",
    "two roots": page(LINE) * 2,
    "text after": page(LINE) + "x",
    "crossed tags": page("<g><a></g></a>"),
    "unquoted": page("<g id=a/>"),
    "same attribute twice": page('<path d="M0 0H5" d="M0 0H9"/>'),
    "unknown prefix": page("<ed:g/>"),
    "unknown entity": page("<title>&nosuch;</title>"),
    "bare ampersand": page("<title>jug & quinces</title>"),
    "null": page("\0"),
    "null bytes": b"\0" * 100,
    "noise": np.random.default_rng(1).bytes(5000),
    "text": "Jug, quinces and linen",
    "web page": "<html><body/></html>",
    "svg of another namespace": '<svg xmlns="urn:x"/>',
    "path for a root": f"<path {SVG} d='M0 0H5'/>",
    "picture": b"\x89PNG\r\n\x1a\n" + b"\0" * 100,
    "photograph": b"\xff\xd8\xff\xe0" + b"\0" * 100,
    "PDF": b"%PDF-1.7\n%\xe2\xe3",
    "archive": b"PK\x03\x04" + b"\0" * 50,
    "packed and cut": gzip.compress(page(LINE).encode())[:-20],
    "packed and damaged": gzip.compress(page(LINE).encode())[:20] + b"\xff" * 50,
    "packed picture": gzip.compress(b"\x89PNG\r\n\x1a\n" + b"\0" * 100),
    "wrong bytes": page("<title>\xe9</title>").encode("latin-1"),
    "odd encoding": f'<?xml version="1.0" encoding="utf-7"?>{page(LINE)}'.encode(),
    "no encoding": f'<?xml version="1.0" encoding="nosuch"?>{page(LINE)}'.encode(),
    "encoding that is none": f'<?xml version="1.0" encoding="base64"?>{page(LINE)}'.encode(),
    "wide characters": page(LINE).encode("utf-32"),
    "late declaration": "<a/>" + '<?xml version="1.0"?>',
    "not a number": page('<path d="MNaN NaN L5 5"/>'),
    "no number": page('<path d="M0 0Linf 5"/>'),
    "infinite": page('<path d="M0 0L1e999 5"/>'),
    "far away": page('<path d="M0 0L1e300 5"/>'),
    "rather far away": page('<path d="M0 0L9e4 5"/>'),
    "far apart": page('<path d="M-1e308 0L1e308 5"/>'),
    "infinite curve": page('<path d="M0 0C1e999 1e999 -1e999 5 5 5"/>'),
    "infinite arc": page('<path d="M0 0A1e300 1e-300 0 0 1 1e200 5"/>'),
    "infinite turn": page('<path d="M0 0A5 5 1e999 0 1 9 5"/>'),
    "infinite circle": page('<circle cx="5" cy="5" r="1e308"/>'),
    "overflowing circle": page('<circle cx="5" cy="5" r="1e999"/>'),
    "circle without number": page('<circle cx="x" r="5"/>'),
    "infinite rectangle": page('<rect width="1e308" height="5" rx="1e300"/>'),
    "infinite transform": page(f'<g transform="scale(1e308)"><g transform="scale(1e308)">{LINE}</g></g>'),
    "transform of no number": page(f'<g transform="translate(nan)">{LINE}</g>'),
    "unknown transform": page(f'<g transform="perspective(5)">{LINE}</g>'),
    "infinite landmark": page('<circle class="landmark" id="a" cx="1e308" r="1" transform="scale(1e9)"/>'),
    "landmark of no number": page('<circle class="landmark" id="a" cx="NaN" r="1"/>'),
    "infinite nested page": page(f'<svg viewBox="0 0 1e-300 1e-300">{LINE}</svg>'),
    "nested page without size": page(f'<svg viewBox="0 0 0 5">{LINE}</svg>'),
    "clone at no number": page('<g id="a"/><use href="#a" x="x"/>'),
    "odd points": page('<polygon points="1 2 3"/>'),
    "points of no number": page('<polygon points="1 2 three 4"/>'),
    "page of nothing": f'<svg {SVG.replace("400 300", "0 0")}>{LINE}</svg>',
    "page of no number": f'<svg {SVG.replace("400 300", "NaN 300")}>{LINE}</svg>',
    "unreadable path": page('<path d="hello"/>'),
    "path that stops": page('<path d="M0 0C1 2 3"/>'),
}  # fmt: skip

REFUSED = {f"{kind}: {name}": case for kind, cases in
           {"runs": RUNS, "outside": REACHES_OUTSIDE, "grows": GROWS, "broken": BROKEN}.items()
           for name, case in cases.items()}  # fmt: skip


def refusal(data: str | bytes) -> str:
    """The sentence a file is refused with, after checking that it came soon."""
    taken = []
    for _ in range(3):  # the best of three: a busy machine slows even this process's own time
        begun = time.process_time()
        with pytest.raises(DrawingError) as refused:
            drawing_from_svg(data, CANVAS)
        taken.append(time.process_time() - begun)
        if taken[-1] < SECONDS:
            break
    assert min(taken) < SECONDS
    return str(refused.value)


@pytest.mark.parametrize("name", REFUSED)
def test_it_is_refused_soon_and_in_a_plain_sentence(name):
    case = REFUSED[name]
    sentence = refusal(case() if callable(case) else case)
    assert sentence.endswith(".")
    assert 20 < len(sentence) < 260
    assert sentence.isprintable()
    assert not {"Error", "Traceback", "expat"} & set(sentence.replace(":", " ").split())


@pytest.mark.parametrize("name", ["laughs", "short entity, often", "many elements", "blanks", "packed zeros", "dots"])
def test_memory_stays_bounded(name):
    case = GROWS[name]
    assert callable(case)
    data = case()
    tracemalloc.start()
    try:
        with pytest.raises(DrawingError):
            drawing_from_svg(data, CANVAS)
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_MEMORY


def test_nothing_that_is_refused_is_ever_opened(tmp_path, monkeypatch):
    secret = tmp_path / "secret.txt"
    secret.write_text("linen")
    path = tmp_path / "jug.svg"
    path.write_text(declared(f'<!ENTITY x SYSTEM "{secret.as_uri()}">', "<title>&x;</title>"))
    with pytest.raises(DrawingError) as refused:
        read_drawing(path, CANVAS)
    assert "linen" not in str(refused.value)


def test_a_file_too_large_is_refused_unread(tmp_path):
    path = tmp_path / "jug.svg"
    path.write_bytes(b" " * 20_000_001)
    with pytest.raises(DrawingError, match="larger than 20 MB"):
        read_drawing(path, CANVAS)


HARMLESS = {
    "namespaces of metadata": page(
        '<metadata><r:R xmlns:r="urn:r" r:resource="http://example.org/licence"/></metadata>'
    ),
    "embedded picture": page('<image href="data:image/jpeg;base64,/9j/4AAQ"/>'),
    "broken up picture": page('<image xlink:href="data:image/png;base64,\n iVBO"/>'),
    "public document type": '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
    f'"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">{page("")}',
    "paint within": page('<g fill="url(#a)" style="filter:url(&quot;#f&quot;)"/>'),
    "empty link": page('<use href=""/>'),
    "words with on": page("<g one='1'/>", "id='online'").replace("one=", "data-one="),
    "styles within": page("<style>@charset 'utf-8'; .a{fill:url(#g)}</style>"),
    "font within": page("<style>@font-face{src:url('data:font/woff2;base64,d09G')}</style>"),
    "short entities": declared('<!ENTITY ns "http://www.w3.org/2000/svg"><!ENTITY n "quince">', "<title>&n;</title>"),
    "deep but not too deep": page("<g>" * 50 + "</g>" * 50),
    "clone of a clone": page('<g id="a"/><use id="b" href="#a"/><use href="#b"/>'),
}


@pytest.mark.parametrize("name", HARMLESS)
def test_what_is_harmless_is_read(name):
    drawing = drawing_from_svg(HARMLESS[name].replace("</svg>", LINE + "</svg>"), CANVAS)
    assert len(drawing.lines) == 1


SEEDS = [text.encode() for text in FILES.values()]
SPLICES = [
    b"<", b">", b'"', b"&", b"]]>", b"<!--", b"/>", b"</g>", b"<g>", b"\0", b"\xff", b"1e999", b"NaN", b"-", b"%",
    b"<![CDATA[", b"<!ENTITY a 'b'>", b"&a;", b"M0 0", b"url(", b"#", b"<use href='#contour'/>", b"{", b"}",
]  # fmt: skip


@st.composite
def mutations(draw: st.DrawFn) -> bytes:
    data = bytearray(draw(st.sampled_from(SEEDS)))
    for _ in range(draw(st.integers(1, 6))):
        place = draw(st.integers(0, max(len(data) - 1, 0)))
        kind = draw(st.sampled_from(["flip", "cut", "drop", "repeat", "splice"]))
        length = draw(st.integers(1, 60))
        if kind == "flip" and data:
            data[place] ^= draw(st.integers(1, 255))
        elif kind == "cut":
            del data[place:]
        elif kind == "drop":
            del data[place : place + length]
        elif kind == "repeat":
            data[place:place] = data[place : place + length] * 3
        else:
            data[place:place] = draw(st.sampled_from(SPLICES))
    return bytes(data)


@given(mutations())
@settings(max_examples=400, deadline=None)
def test_a_damaged_file_gives_a_drawing_or_a_sentence(data):
    begun = time.process_time()
    try:
        drawing = drawing_from_svg(data, CANVAS)
    except DrawingError as refused:
        sentence = str(refused)
    else:
        assert isinstance(drawing, Drawing)
        assert all(np.isfinite(line.points).all() for line in drawing.lines)
        assert all(0 <= mark.x_mm <= 400 and 0 <= mark.y_mm <= 300 for mark in drawing.landmarks)
        sentence = "It was read."
    assert time.process_time() - begun < SECONDS
    assert sentence.endswith(".")


@given(st.binary(max_size=300))
@settings(max_examples=150, deadline=None)
def test_any_bytes_are_refused(data):
    with pytest.raises(DrawingError):
        drawing_from_svg(data, CANVAS)
