"""Whole files built as vector editors build them: layers, escapes, entities, private data, odd units."""

import gzip

import numpy as np
import pytest

from core.drawing.svg_read import drawing_from_svg
from core.size import Size

CANVAS = Size(400, 300)

# The same drawing in every file: a line of two sides, a circle, a hidden guide, one landmark.
RIM = np.array([(50, 60), (150, 60), (150, 160)], dtype=float)
HANDLE = (200, 150, 40)  # centre and radius, mm
LANDMARK = ("spout tip", 120, 90)

LABELLED_LAYERS = """<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<!-- Created with an editor -->
<svg width="400mm" height="300mm" viewBox="0 0 400 300" version="1.1" id="svg5" xml:space="preserve"
   ed:version="1.3 (0e150ed, 2023-07-21)" sp:docname="jug.svg" ed:export-filename="/home/painter/jug.png"
   xmlns:ed="http://www.example.org/namespaces/editor" xmlns:sp="http://example.net/DTD/editor-0.dtd"
   xmlns:xlink="http://www.w3.org/1999/xlink" xmlns="http://www.w3.org/2000/svg" xmlns:svg="http://www.w3.org/2000/svg"
   xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#" xmlns:dc="http://purl.org/dc/elements/1.1/">
  <sp:namedview id="namedview7" pagecolor="#ffffff" ed:document-units="mm" showgrid="false" ed:current-layer="layer1">
    <ed:grid type="xygrid" id="grid82"/>
    <sp:guide position="100,200" orientation="0,1" id="guide9"/>
  </sp:namedview>
  <defs id="defs2">
    <linearGradient id="lg1"><stop offset="0" style="stop-color:#000000"/></linearGradient>
    <ed:path-effect effect="spiro" id="path-effect1"/>
    <marker id="Arrow" orient="auto"><path d="M0 0L5 5" style="fill:context-stroke"/></marker>
  </defs>
  <metadata id="metadata1"><rdf:RDF><rdf:Description rdf:about="">
    <dc:title>Still life</dc:title></rdf:Description></rdf:RDF></metadata>
  <g ed:label="contour" ed:groupmode="layer" id="layer1" transform="translate(-10,-20)" style="display:inline">
    <path style="fill:none;stroke:#000000;stroke-width:0.26px;marker-end:url(#Arrow)" id="path111"
       d="m 60,80 h 100 v 100" ed:path-effect="#path-effect1" ed:original-d="m 60,80 h 100 v 100" sp:nodetypes="ccc"
       ed:label="rim"/>
    <circle style="fill:none;stroke:#000000" id="path113" cx="210" cy="170" r="40" ed:label="handle"/>
  </g>
  <g ed:groupmode="layer" id="layer2" ed:label="guides" style="display:none" sp:insensitive="true">
    <path d="M 0,0 400,300" id="guide" style="stroke:#f00"/>
  </g>
  <g ed:groupmode="layer" id="layer3" ed:label="marks">
    <circle class="landmark" id="spout" ed:label="spout tip" cx="120" cy="90" r="1.5" style="fill:#00ff00"/>
  </g>
</svg>
"""

ENTITIES_AND_PRIVATE_DATA = """<?xml version="1.0" encoding="utf-8"?>
<!-- Generator: an editor. SVG Export Plug-In -->
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd" [
    <!ENTITY ns_extend "http://ns.example.org/Extensibility/1.0/">
    <!ENTITY ns_ai "http://ns.example.org/Editor/10.0/">
    <!ENTITY ns_svg "http://www.w3.org/2000/svg">
    <!ENTITY ns_xlink "http://www.w3.org/1999/xlink">
]>
<svg version="1.1" xmlns:x="&ns_extend;" xmlns:i="&ns_ai;" xmlns="&ns_svg;" xmlns:xlink="&ns_xlink;" x="0px" y="0px"
     width="1133.8583px" height="850.3937px" viewBox="0 0 1133.8583 850.3937" i:viewOrigin="0 850"
     style="enable-background:new 0 0 1133.8583 850.3937;" xml:space="preserve">
<style type="text/css">
    .st0{fill:none;stroke:#000000;stroke-miterlimit:10;}
    .st1{display:none;}
    .st2{display:inline;fill:none;stroke:#FF0000;}
</style>
<switch>
    <foreignObject requiredExtensions="&ns_ai;" x="0" y="0" width="1" height="1">
        <i:pgfRef xlink:href="#editor_pgf"></i:pgfRef>
    </foreignObject>
    <g i:extraneous="self">
        <g id="contour">
            <polyline id="rim" class="st0" points="141.7323,170.0787 425.1969,170.0787 425.1969,453.5433 "/>
            <path id="handle" class="st0" d="M680.3150,425.1969c0,62.6-50.8,113.3858-113.3858,113.3858
                S453.5433,487.8,453.5433,425.1969
                s50.8-113.3858,113.3858-113.3858S680.3150,362.6,680.3150,425.1969z"/>
        </g>
        <g id="guides" class="st1"><line class="st2" x1="0" y1="0" x2="1133" y2="850"/></g>
        <g id="landmarks"><circle id="spout_x20_tip" cx="340.1575" cy="255.1181" r="4"/></g>
    </g>
</switch>
<i:pgf id="editor_pgf">eJzsvQ==</i:pgf>
</svg>
"""

NO_UNITS_AND_MATRICES = """<?xml version="1.0" encoding="UTF-8" standalone="no"?>
<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">
<svg width="100%" height="100%" viewBox="0 0 4725 3544" version="1.1" xmlns="http://www.w3.org/2000/svg"
  xml:space="preserve" xmlns:own="http://www.example.com/"
  style="fill-rule:evenodd;clip-rule:evenodd;stroke-linecap:round;stroke-linejoin:round;">
    <rect id="Artboard1" x="0" y="0" width="4725" height="3544" style="fill:none;"/>
    <g id="contour" transform="matrix(11.8125,0,0,11.8125,0,0)">
        <g transform="matrix(1,0,0,1,-50,-40)">
            <path id="rim" d="M100,100L200,100L200,200" style="fill:none;stroke:black;"/></g>
        <g transform="matrix(0.5,0,0,0.5,100,75)">
            <circle id="handle" cx="200" cy="150" r="80" style="stroke:black;"/></g>
    </g>
    <g id="guides" style="visibility:hidden"><path d="M0,0L400,300"/></g>
    <g id="landmarks"><g transform="matrix(11.8125,0,0,11.8125,0,0)">
        <ellipse id="spout-tip" own:id="spout tip" cx="120" cy="90" rx="1.5" ry="1.5"/></g></g>
</svg>
"""

PREFIXED = """<?xml version='1.0' encoding='UTF-8'?>
<svg:svg xmlns:svg="http://www.w3.org/2000/svg" width="40cm" height="30cm" viewBox="0 0 40 30">
  <svg:title>Still life</svg:title>
  <svg:g id="contour">
    <svg:polyline id="rim" fill="none" stroke="black" points="5,6 15,6 15,16"/>
    <svg:circle id="handle" cx="20" cy="15" r="4" fill="none" stroke="black"/>
  </svg:g>
  <svg:g id="guides" display="none"><svg:line x1="0" y1="0" x2="40" y2="30"/></svg:g>
  <svg:circle class="landmark" id="spout" cx="12" cy="9" r=".1"><svg:title>spout tip</svg:title></svg:circle>
</svg:svg>
"""

WITHOUT_NAMESPACE = """<svg viewBox="0 0 400 300"><g id="contour">
<path id="rim" d="M50,60 150,60 150,160" fill="none" stroke="#000"/><circle id="handle" cx="200" cy="150" r="40"/></g>
<path d="M0 0L400 300" display="none"/><circle class="landmark" id="spout_x20_tip" cx="120" cy="90" r="1"/></svg>
"""

CLONES_IN_A_NESTED_PAGE = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 width="15.748031in" height="11.811024in" viewBox="0 0 1511.811 1133.8583">
<defs><style type="text/css"><![CDATA[ .hairline {stroke:#2B2A29;stroke-width:7.62} .none {fill:none} ]]></style>
<g id="handle-shape"><circle r="10" class="none hairline"/></g></defs>
<svg x="0" y="0" width="1511.811" height="1133.8583" viewBox="0 0 40000 30000" shape-rendering="geometricPrecision">
 <g id="contour"><polyline id="rim" class="none hairline" points="5000,6000 15000,6000 15000,16000"/>
  <use xlink:href="#handle-shape" transform="translate(20000 15000) scale(400)"/></g>
 <g id="guides" opacity="0"><path d="M0 0L40000 30000"/></g>
 <g id="landmarks"><circle cx="12000" cy="9000" r="99"><title>spout tip</title></circle></g></svg></svg>
"""

FILES = {
    "labelled layers": LABELLED_LAYERS,
    "entities and private data": ENTITIES_AND_PRIVATE_DATA,
    "no units and matrices": NO_UNITS_AND_MATRICES,
    "prefixed": PREFIXED,
    "without namespace": WITHOUT_NAMESPACE,
    "clones in a nested page": CLONES_IN_A_NESTED_PAGE,
}


@pytest.mark.parametrize("packed", [False, True], ids=["plain", "packed"])
@pytest.mark.parametrize("name", FILES)
def test_every_file_gives_the_same_drawing(name, packed):
    data = FILES[name].encode()
    drawing = drawing_from_svg(gzip.compress(data) if packed else data, CANVAS)
    rim, handle = drawing.lines
    assert rim.layer == handle.layer == "contour"
    assert rim.name == "rim"
    assert np.allclose(rim.points[::3], RIM, atol=0.05)
    assert not rim.closed
    assert handle.closed
    x, y, radius = HANDLE
    assert np.abs(np.linalg.norm(handle.polyline(0.01) - (x, y), axis=1) - radius).max() < 0.06
    (mark,) = drawing.landmarks
    assert (mark.name, mark.x_mm, mark.y_mm) == (LANDMARK[0], *(pytest.approx(v, abs=0.05) for v in LANDMARK[1:]))
    assert drawing.notes == ()
