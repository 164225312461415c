"""Elements, groups, styles, names and clones of an SVG, as lines and landmarks in mm."""

import gzip

import numpy as np
import pytest

from core.drawing.drawing import Drawing
from core.drawing.svg_read import drawing_from_svg, read_drawing
from core.errors import DrawingError
from core.size import Size

CANVAS = Size(400, 300)
SPACES = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:ed="urn:an-editor"'


def drawn(markup: str, attributes: str = "") -> Drawing:
    return drawing_from_svg(
        f'<svg {SPACES} width="400mm" height="300mm" viewBox="0 0 400 300" {attributes}>{markup}</svg>', CANVAS
    )


def corners(markup: str) -> list[list[tuple[float, float]]]:
    """The ends of every curve of every line, rounded."""
    return [[(round(x, 4), round(y, 4)) for x, y in line.points[::3].tolist()] for line in drawn(markup).lines]


@pytest.mark.parametrize(
    ("markup", "expected"),
    [
        ('<path d="M10 20L30 40"/>', [(10, 20), (30, 40)]),
        ('<line x1="1" y1="2" x2="3" y2="4"/>', [(1, 2), (3, 4)]),
        ('<line x2="3"/>', [(0, 0), (3, 0)]),
        ('<polyline points="1,2 3,4 5,6"/>', [(1, 2), (3, 4), (5, 6)]),
        ('<polyline points="1-2.5.5 3"/>', [(1, -2.5), (0.5, 3)]),
        ('<polygon points="1 2 3 4 5 2"/>', [(1, 2), (3, 4), (5, 2), (1, 2)]),
        ('<polygon points="1 2 3 4 5 2 1 2"/>', [(1, 2), (3, 4), (5, 2), (1, 2)]),
        ('<rect x="10" y="20" width="30" height="40"/>', [(10, 20), (40, 20), (40, 60), (10, 60), (10, 20)]),
        ('<rect width="50%" height="50%"/>', [(0, 0), (200, 0), (200, 150), (0, 150), (0, 0)]),
        ('<rect x="1cm" y="1in" width="96" height="9"/>',
         [(37.7953, 96), (133.7953, 96), (133.7953, 105), (37.7953, 105), (37.7953, 96)]),
    ],
)  # fmt: skip
def test_shapes_with_corners(markup, expected):
    (found,) = corners(markup)
    assert np.allclose(found, expected, atol=1e-3)


@pytest.mark.parametrize(
    ("markup", "closed"),
    [
        ('<path d="M1 1L9 9"/>', False), ('<path d="M1 1L9 9L1 9z"/>', True), ('<polyline points="1 1 9 9"/>', False),
        ('<polygon points="1 1 9 9 1 9"/>', True), ('<rect width="9" height="9"/>', True), ('<circle r="9"/>', True),
    ],
)  # fmt: skip
def test_what_is_closed(markup, closed):
    (line,) = drawn(markup).lines
    assert line.closed == closed
    assert np.array_equal(line.points[0], line.points[-1]) == closed


@pytest.mark.parametrize(
    ("markup", "centre", "radii"),
    [
        ('<circle cx="100" cy="80" r="50"/>', (100, 80), (50, 50)),
        ('<ellipse cx="100" cy="80" rx="50" ry="20"/>', (100, 80), (50, 20)),
        ('<ellipse cx="100" cy="80" rx="50" ry="auto"/>', (100, 80), (50, 50)),
        ('<circle cx="25%" cy="80" r="10%"/>', (100, 80), (35.355339, 35.355339)),  # of √((400² + 300²) / 2)
        ('<g transform="translate(100 80) scale(2 .5)"><circle r="20"/></g>', (100, 80), (40, 10)),
    ],
)
def test_round_shapes_are_round(markup, centre, radii):
    (line,) = drawn(markup).lines
    unit = (line.polyline(0.001) - centre) / radii
    assert np.abs(np.linalg.norm(unit, axis=1) - 1).max() < 1e-4


def test_a_rounded_rectangle_keeps_its_sides_and_its_corners():
    (line,) = drawn('<rect x="10" y="20" width="100" height="60" rx="20" ry="10"/>').lines
    assert line.bounds == pytest.approx((10, 20, 110, 80), abs=1e-3)
    flat = line.polyline(0.001)
    corner = flat[(flat[:, 0] > 90.001) & (flat[:, 1] < 29.999)]
    assert np.abs(np.linalg.norm((corner - (90, 30)) / (20, 10), axis=1) - 1).max() < 1e-4
    assert flat[flat[:, 1] == 20].tolist() == [[30, 20], [90, 20], [30, 20]]
    pill = drawn('<rect width="100" height="60" rx="500"/>').lines[0]  # radii are cut to half the sides
    assert np.allclose(np.linalg.norm((pill.polyline(0.001) - (50, 30)) / (50, 30), axis=1), 1, atol=1e-4)
    only_ry = drawn('<rect width="100" height="60" ry="10"/>').lines[0]
    assert np.allclose(only_ry.points[0], (10, 0))


@pytest.mark.parametrize(
    "markup",
    [
        "", '<path/>', '<path d=""/>', '<path d="M5 5"/>', '<rect width="0" height="5"/>', '<rect/>', '<circle/>',
        '<circle r="-3"/>', '<ellipse rx="5" ry="0"/>', '<polyline points=""/>', '<polyline points="1 1"/>', "<line/>",
        '<path d="M5 5l0 0"/>', '<polygon points="5 5"/>', '<g transform="scale(0)"><circle r="9"/></g>',
    ],
)  # fmt: skip
def test_shapes_without_size_are_no_lines(markup):
    drawing = drawn(markup)
    assert drawing.lines == ()
    assert drawing.notes == ("The file holds no lines and no landmarks.",)


def test_groups_carry_their_transforms_inwards():
    markup = (
        '<g transform="translate(10,20)"><g transform="scale(2)"><path transform="rotate(90)" d="M5 0H10"/></g></g>'
    )
    assert np.allclose(corners(markup)[0], [(10, 30), (10, 40)])
    styled = '<path style="transform: translate(10px, 20px) rotate(90deg)" d="M5 0H10"/>'
    assert np.allclose(corners(styled)[0], [(10, 25), (10, 30)])
    about = '<path transform="rotate(90)" transform-origin="50 50" d="M50 50H60"/>'
    assert np.allclose(corners(about)[0], [(50, 50), (50, 60)])


def test_a_nested_page_is_fitted_into_its_place():
    markup = '<svg x="100" y="50" width="200" height="100" viewBox="0 0 10 10"><path d="M0 0L10 10"/></svg>'
    assert np.allclose(corners(markup)[0], [(150, 50), (250, 150)])
    plain = '<svg x="100" y="50"><path d="M0 0L10 10"/></svg>'
    assert np.allclose(corners(plain)[0], [(100, 50), (110, 60)])


def test_clones_and_symbols():
    markup = (
        '<defs><path id="rim" d="M0 0H10"/>'
        '<symbol id="quince" viewBox="0 0 10 10"><path d="M0 0L10 10"/></symbol></defs>'
        '<use href="#rim" x="5" y="6"/><use xlink:href="#rim" transform="translate(50 0)"/>'
        '<use href="#quince" x="100" y="100" width="40" height="20"/><use href="#missing"/><use/>'
    )
    lines = corners(markup)
    assert np.allclose(lines[0], [(5, 6), (15, 6)])
    assert np.allclose(lines[1], [(50, 0), (60, 0)])
    assert np.allclose(lines[2], [(110, 100), (130, 120)])
    assert len(lines) == 3


def test_a_clone_of_a_clone():
    markup = '<g id="a"><path d="M0 0H1"/></g><g id="b"><use href="#a" x="10"/></g><use href="#b" y="20"/>'
    assert [line[0] for line in corners(markup)] == [(0, 0), (10, 0), (10, 20)]


@pytest.mark.parametrize("holder", ["defs", "clipPath", "marker", "pattern", "mask", "symbol", "metadata", "filter"])
def test_what_only_serves_other_elements_is_not_drawn(holder):
    assert len(drawn(f'<{holder} id="x"><path d="M0 0H5"/><circle class="landmark" id="p"/></{holder}>').lines) == 0


def test_elements_of_other_namespaces_are_not_drawn():
    drawing = drawn('<ed:path d="M0 0H5"/><ed:group><path d="M0 0H5"/></ed:group><path d="M0 0H5"/>')
    assert len(drawing.lines) == 1


@pytest.mark.parametrize(
    "markup",
    [
        '<path d="M0 0H5" display="none"/>', '<path d="M0 0H5" style="display:none"/>',
        '<g style="fill:none; display : none !important"><path d="M0 0H5"/></g>',
        '<path d="M0 0H5" visibility="hidden"/>',
        '<g visibility="hidden"><path d="M0 0H5"/></g>', '<path d="M0 0H5" opacity="0"/>',
        '<g style="opacity:0%"><path d="M0 0H5"/></g>', '<path d="M0 0H5" visibility="collapse"/>',
        '<style>.off{display:none}</style><path class="on off" d="M0 0H5"/>',
        '<path class="off" d="M0 0H5"/><style>.on{fill:red} .off,.gone{ display: none }</style>',
        '<style>#x{visibility:hidden}</style><path id="x" d="M0 0H5"/>',
        '<style>path{display:none}</style><path d="M0 0H5"/>',
        '<style>/* .off{display:inline} */ @media print{.off{display:inline}} .off{display:none}</style>'
        '<path class="off" d="M0 0H5"/>',
        '<style><![CDATA[.off{display:none}]]></style><path class="off" d="M0 0H5"/>',
        '<style>.off{display:none}</style><circle class="landmark off" id="p" cx="5" cy="5" r="1"/>',
        '<circle class="landmark" id="p" cx="5" cy="5" r="1" style="display:none"/>',
    ],
)  # fmt: skip
def test_what_does_not_show_is_left_out(markup):
    drawing = drawn(markup)
    assert drawing.lines == ()
    assert drawing.landmarks == ()


@pytest.mark.parametrize(
    "markup",
    [
        '<g visibility="hidden"><path d="M0 0H5" visibility="visible"/></g>',
        '<style>.off{display:none}</style><path class="off" style="display:inline" d="M0 0H5"/>',
        '<style>.off{display:none} .on{display:inline}</style><path class="off on" d="M0 0H5"/>',
        '<style>path{display:none} .on{display:inline}</style><path class="on" d="M0 0H5"/>',
        '<path d="M0 0H5" opacity=".01"/>', '<path d="M0 0H5" fill="none" stroke="#000"/>',
        '<path d="M0 0H5" opacity="x"/>',
        '<style>g.off .off{display:none} @font-face{font-family:x}</style><path class="off" d="M0 0H5"/>',
    ],
)  # fmt: skip
def test_what_shows_is_kept(markup):
    assert len(drawn(markup).lines) == 1


def test_lines_without_paint_are_kept_and_said():
    drawing = drawn('<path d="M0 0H5" fill="none"/>')
    assert len(drawing.lines) == 1
    assert "neither stroke nor fill" in drawing.notes[0]


def test_a_sheet_laid_under_the_page_is_no_line():
    for sheet in (
        '<rect width="100%" height="100%" fill="white"/>', '<rect x="-5" y="-5" width="500" height="400" fill="#eee"/>',
        '<path d="M0 0H400V300H0z" fill="#fff"/>', '<rect width="400" height="300" fill="none"/>',
    ):  # fmt: skip
        assert len(drawn(sheet + '<path d="M0 0H5" stroke="#000"/>').lines) == 1
    frame = '<rect width="400" height="300" fill="none" stroke="black"/>'
    assert len(drawn(frame).lines) == 1


def test_text_and_pictures_are_left_out_and_said():
    drawing = drawn('<text>jug</text><image href="data:image/png;base64,AAAA"/><text/><path d="M0 0H5"/>')
    assert len(drawing.lines) == 1
    assert [note.split(":")[0] for note in drawing.notes] == [
        "The file also holds text",
        "The file also holds pictures",
    ]
    assert "clipped" in drawn('<g clip-path="url(#c)"><path d="M0 0H5"/></g>').notes[0]


def test_a_switch_draws_its_first_choice_that_anyone_can():
    markup = (
        '<switch><foreignObject requiredExtensions="urn:x"/><g><path d="M0 0H5"/></g><g><path d="M0 0H9"/></g></switch>'
    )
    assert corners(markup) == [[(0, 0), (5, 0)]]


def test_landmarks_by_class_with_their_names():
    drawing = drawn(
        '<circle class="landmark" id="p0" cx="10" cy="20" r="1"/>'
        '<circle class="st0 landmark big" id="spout_x20_tip" cx="30" cy="20" r="1"/>'
        '<circle class="landmark" id="a" data-name="handle, top" cx="50" cy="20" r="1"/>'
        '<circle class="landmark" id="b" ed:label="rim left" cx="70" cy="20" r="1"/>'
        '<circle class="landmark" id="c" cx="90" cy="20" r="1"><title>rim  right</title></circle>'
        '<ellipse class="landmark" id="d" cx="110" cy="20" rx="1" ry="2"/>'
        '<g transform="translate(100 100)"><circle class="landmark" id="e" cx="30" cy="20" r="1" fill="none"/></g>'
        '<path class="landmark" id="f" d="M149 20a1 1 0 1 0 2 0a1 1 0 1 0-2 0"/>'
        '<circle class="landmarks" id="not" cx="1" cy="1" r="1"/>'
    )
    assert [(mark.name, round(mark.x_mm, 3), round(mark.y_mm, 3)) for mark in drawing.landmarks] == [
        ("p0", 10, 20), ("spout tip", 30, 20), ("handle, top", 50, 20), ("rim left", 70, 20), ("rim right", 90, 20),
        ("d", 110, 20), ("e", 130, 120), ("f", 150, 20),
    ]  # fmt: skip
    assert [line.name for line in drawing.lines] == ["not"]
    assert np.allclose(drawing.landmark_points()[0], (10, 20))


def test_circles_on_a_layer_called_landmarks_are_landmarks():
    drawing = drawn('<g id="Landmarks"><circle id="p0" cx="10" cy="20" r="1"/><path d="M0 0H5"/></g><circle r="5"/>')
    assert [mark.name for mark in drawing.landmarks] == ["p0"]
    assert len(drawing.lines) == 2


def test_names_are_made_unique_and_said():
    circle = '<circle class="landmark" {} cx="10" cy="20" r="1"/>'
    drawing = drawn(
        "".join(circle.format(name) for name in ('id="a"', 'data-name="a"', 'id="a 2"', "", 'data-name="a"'))
    )
    assert [mark.name for mark in drawing.landmarks] == ["a", "a 3", "a 2", "landmark 1", "a 4"]
    assert drawing.notes == (
        "A second landmark “a” was called “a 3”.",
        "A landmark without a name was called “landmark 1”.",
        "A second landmark “a” was called “a 4”.",
    )


def test_landmarks_off_the_canvas_are_left_out_and_said():
    drawing = drawn(
        '<circle class="landmark" id="in" cx="400.005" cy="-.005" r="1"/>'
        '<circle class="landmark" id="off" cx="401" r="1"/>'
    )
    assert [(mark.name, mark.x_mm, mark.y_mm) for mark in drawing.landmarks] == [("in", 400, 0)]
    assert drawing.notes == ("Landmark “off” lies off the canvas: it was left out.",)


def test_lines_off_the_canvas_are_said_and_a_drawing_wholly_off_it_refused():
    drawing = drawn('<path d="M0 0H5"/><path d="M-50 5H-20"/>')
    assert len(drawing.lines) == 2
    assert drawing.notes == ("1 of the lines lies off the canvas.",)
    with pytest.raises(DrawingError, match="off its page"):
        drawn('<path d="M-50 5H-20"/><path d="M500 5H600"/>')


@pytest.mark.parametrize(
    ("groups", "layer"),
    [
        ("", "contour"),
        ('<g id="shadow_x20_edge">', "shadow edge"),
        ('<g id="inner_form">', "inner form"),
        ('<g id="Layer_2" data-name="Inner Form">', "inner form"),
        ('<g ed:groupmode="layer" ed:label="Shadow Edge" id="layer1">', "shadow edge"),
        ('<g id="g12"><g id="linen">', "linen"),
        ('<g id="linen"><g id="folds">', "linen"),
        ('<g ed:groupmode="layer" ed:label="linen"><g ed:label="folds">', "linen"),
        ('<g ed:label="wrapper"><g ed:groupmode="layer" ed:label="linen">', "linen"),
        ('<g ed:groupmode="layer" ed:label="linen"><g ed:groupmode="layer" ed:label="hem">', "hem"),
        ('<g><title>quinces</title>', "quinces"),
    ],
)  # fmt: skip
def test_layers(groups, layer):
    (line,) = drawn(f'{groups}<path d="M0 0H5"/>{"</g>" * groups.count("<g")}').lines
    assert line.layer == layer


def test_lines_have_the_names_their_painter_gave_them():
    markup = '<path id="jug_x2C__x20_rim" d="M0 0H5M9 9h9"/><path id="path1024" d="M0 0H5"/>'
    markup += '<path ed:label="hem" d="M0 0H5"/>'
    assert [line.name for line in drawn(markup).lines] == ["jug, rim", "jug, rim", "", "hem"]


def test_a_closing_side_of_nothing_but_rounding_is_dropped():
    (line,) = drawn('<path d="M10 10h20v20h-20v-19.99999z"/>').lines
    assert len(line.points) == 13
    assert np.array_equal(line.points[0], line.points[-1])


PLAIN = f'<svg {SPACES} viewBox="0 0 400 300"><g id="café"><path d="M10 10L20 20"/></g></svg>'


@pytest.mark.parametrize(
    "data",
    [
        PLAIN,
        PLAIN.encode(),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.encode("utf-16"),
        ('<?xml version="1.0" encoding="UTF-16"?>' + PLAIN).encode("utf-16"),
        ('<?xml version="1.0" encoding="UTF-16LE"?>' + PLAIN).encode("utf-16-le"),
        ('<?xml version="1.0" encoding="ISO-8859-1"?>' + PLAIN).encode("latin-1"),
        ('<?xml version="1.0" encoding="windows-1252"?>' + PLAIN).encode("cp1252"),
        ('<?xml version="1.0" encoding="UTF-16"?>' + PLAIN),  # already decoded, whatever it says
        "\n\n" + PLAIN,
        gzip.compress(PLAIN.encode()),
    ],
)
def test_encodings_and_packing(data):
    drawing = drawing_from_svg(data, CANVAS)
    assert drawing.lines[0].layer == "café"
    assert np.allclose(drawing.lines[0].points[[0, -1]], [(10, 10), (20, 20)])


def test_files_are_read_by_any_name(tmp_path):
    plain, packed = tmp_path / "krug und quitten – entwurf.svg", tmp_path / "linen.svgz"
    plain.write_text(PLAIN, encoding="utf-8")
    packed.write_bytes(gzip.compress(PLAIN.encode()))
    assert read_drawing(plain, CANVAS) == read_drawing(str(packed), CANVAS)


@pytest.mark.parametrize("name", ["missing.svg", ".", "a\0b.svg"])
def test_files_that_cannot_be_opened_are_said_so(tmp_path, name):
    with pytest.raises(DrawingError, match="cannot be opened"):
        read_drawing(f"{tmp_path}/{name}", CANVAS)
