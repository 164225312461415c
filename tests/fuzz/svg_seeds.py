"""Small drawings as SVG, sound and less sound, as seeds of broken ones."""

import gzip

_HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
_PAGE = _HEAD + 'width="400mm" height="300mm" viewBox="0 0 400 300">'


def svg_seeds() -> dict[str, bytes]:
    """Files by name; most are sound drawings, some already hold what is refused."""
    paths = _page(
        '<path id="rim" d="M10 10 L 60 20 h30 v-5 C 90 40 120 40 140 80 S 180 90 190 60 q 10 10 20 0 t 20 5 '
        'A 30 20 15 1 0 260 120 a5 5 0 0 1 9 9 z m 3 3 l1 1" fill="none" stroke="#000" stroke-width="0.4"/>'
    )
    shapes = _page(
        '<g id="layer1" class="x"><line x1="1" y1="2" x2="30mm" y2="4cm"/><rect x="20" y="20" width="40" height="30" '
        'rx="5"/><circle class="landmark" cx="50%" cy="40" r="2"/><ellipse cx="80" cy="90" rx="30" ry="10"/>'
        '<polyline points="1,2 3,4 5,9"/><polygon points="100 100 120 100 110 130"/></g>'
    )
    moved = _page(
        '<g transform="translate(10 20) rotate(30, 5, 5) scale(2) skewX(10)"><g transform="matrix(1 0 0 1 3 4)">'
        '<path d="M0 0 10 10 20 0Z" style="fill:none;stroke:#123"/></g></g><svg x="10" y="10" width="50" height="40" '
        'viewBox="0 0 10 10" preserveAspectRatio="xMinYMax slice"><path d="M1 1L9 9"/></svg>'
    )
    used = _page(
        '<defs><symbol id="s" viewBox="0 0 10 10"><path d="M1 1L9 9"/></symbol><g id="g"><path d="M5 5 L9 2"/></g>'
        '</defs><use xlink:href="#s" width="30" height="30"/><use href="#g" x="10" y="20"/><use href="#nothing"/>'
    )
    styled = _page(
        "<title>A jug</title><style>.a{stroke:#000;fill:none} #b{display:none} path.a{visibility:visible}</style>"
        '<path class="a" d="M1 1L90 90"/><path id="b" d="M1 1L9 9"/><switch><g requiredExtensions="x"/><g>'
        '<path d="M1 2 3 4"/></g></switch><text x="3">words</text>'
    )
    entities = (
        '<?xml version="1.0" encoding="UTF-8"?><!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" '
        '"http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [<!ENTITY ns "http://www.w3.org/2000/svg">'
        '<!ENTITY grey "#808080">]>' + _page('<path stroke="&grey;" d="M1 1 L 40 40"/>')
    )
    huge = _page('<path d="M1e300 -1e300 L 1e-300 99999999999999999999 L1e999 0"/><circle r="1e200" cx="1e308"/>')
    outside = _page('<image xlink:href="file:///etc/hosts" width="9" height="9"/><path d="M1 1 9 9"/>')
    texts = {
        "paths": paths, "shapes": shapes, "moved": moved, "used": used, "styled": styled, "entities": entities,
        "huge": huge, "outside": outside, "deep": _page("<g>" * 60 + '<path d="M1 1 5 5"/>' + "</g>" * 60),
        "loop": _page('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'),
    }  # fmt: skip
    files = {f"{name}.svg": text.encode() for name, text in texts.items()}
    files["wide.svg"] = ('<?xml version="1.0" encoding="UTF-16"?>' + shapes).encode("utf-16")
    latin = '<?xml version="1.0" encoding="ISO-8859-1"?>' + styled.replace("jug", "krug ü")
    files["latin.svg"] = latin.encode("latin-1")
    files["packed.svgz"] = gzip.compress(moved.encode(), mtime=0)
    return files


def _page(inside: str) -> str:
    return f"{_PAGE}{inside}</svg>"
