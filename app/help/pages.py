"""A page for each question: what is measured, how sure it is, what it cannot tell, and where it comes from.

``measured`` are lines of the README's table of figures, word for word, so that the two never say different things.
"""

from dataclasses import dataclass

from app.view import Question

HOW_MEASURED = (
    "Measured on paintings whose faults are known: photographs painted by a simulated painter and photographed by a "
    "simulated phone. A real studio is less kind, so each answer carries its own ±."
)


@dataclass(frozen=True)
class HelpPage:
    """``what``, ``limits``: paragraphs. ``measured``: an answer and its figure, each. ``sources``: published works.
    ``how``: on what that was measured."""

    what: tuple[str, ...]
    measured: tuple[tuple[str, str], ...]
    limits: tuple[str, ...]
    sources: tuple[str, ...]
    how: str = HOW_MEASURED


_VALUE = "Munsell value from luminance: ASTM D1535."
_AXIS = (
    "The warm and cool axis, hue 50° of CIELAB: Ou, Luo, Woodcock and Wright, Color Research and Application 29, 2004."
)
_DIFFERENCE = "CIEDE2000: Sharma, Wu and Dalal, Color Research and Application 30, 2005."

HELP: dict[Question, HelpPage] = {
    Question.DRAWING: HelpPage(
        (
            "The canvas is found in the photo by its own four edges or by printed tabs beside it, freed of the lens's "
            "bend and laid flat. Then small windows of the reference are looked for in the painting, coarse to fine.",
            "First comes what the whole drawing shares: a shift, a turn, a change of size. What is left over is where "
            "single places stray, in millimetres on the canvas, right and down.",
        ),
        (
            (
                "drawing, at landmarks",
                "median error 0.05 mm, 95 % within 0.16 mm over 24 checks; a first block-in of broad strokes: 0.24 and "
                "0.6 mm, 86 % told; flat places are withheld",
            ),
        ),
        (
            "A flat passage has nothing to be found again by, so nothing is said of it. A form of 30 to 50 mm that is "
            "only blocked in may be smoothed away.",
        ),
        (
            "Lens: one-term radial model, straightened by the canvas's edges (plumb lines: Brown 1971, from memory).",
            "Compared with dense optical flow: Kroeger and others 2016.",
        ),
    ),
    Question.VALUE: HelpPage(
        (
            "Both pictures are read in linear light and told in Munsell value: ten even steps from black to white, as "
            "the eye divides them. The light on the canvas is taken out first, by a photo of the blank canvas, a grey "
            "or colour card, the tabs' white paper, bare ground, or a fit against the reference, in this order of "
            "trust.",
            "What is left is canvas minus reference, in value steps: below zero the paint is too dark.",
        ),
        (
            ("values, with a photo of the blank canvas", "mean error 0.02 step"),
            (
                "values, by a grey card in the photo, on the canvas or beside it",
                "mean error 0.05-0.06 step; beside the canvas under a near lamp 0.06-0.13",
            ),
            ("values, without either", "mean error 0.02-0.04 step, the overall level taken out"),
            (
                "passages 0.7 step or more out, of 8 cm² or more",
                "24 of 24 in these checks and 41 of 41 others found, no false ones",
            ),
        ),
        (
            "Without a card the overall level cannot be told: a painting that is lighter throughout looks like more "
            "light. Glare is left out. A phone's contrast curve costs up to 0.2 step: keep its effects off.",
        ),
        (_VALUE,),
    ),
    Question.EDGE: HelpPage(
        (
            "Across every edge a blurred step is fitted to the values; its sigma, in millimetres on the canvas, says "
            "how soft it is. From 10 to 90 % of the step is 2.563 sigma. The photo's own blur is taken out.",
            "Hard is below 0.5 mm, firm below 1.5, soft below 4, lost beyond, for a canvas of 40 × 30 cm; larger "
            "canvases in proportion. The limits are ours and can be moved.",
        ),
        (
            ("how wide an edge is painted, 0.3-6 mm", "median error 6 %, 90 % within 30 %"),
            (
                "edges painted 1.8-3 mm too soft, or as much too hard",
                "19 of 20 and 17 of 20 found on 10 paintings, two false stretches",
            ),
        ),
        (
            "A photo out of focus or shaken tells nothing of hard edges, and says so. A hard edge painted where the "
            "reference has none is not looked for.",
        ),
        (
            "Compared with re-blurring (Zhuo and Sim 2011) and the extrema of the second derivative (Elder and Zucker "
            "1998).",
            "How the eye's sharpness falls off beside the point it rests on: after Strasburger and others 2011, from "
            "memory.",
        ),
    ),
    Question.TEMPERATURE: HelpPage(
        (
            "A passage is read on one axis of colour, warm one way and cool the other, and always against what lies "
            "round it or against another passage: such differences outlast a wrong white balance, single colours do "
            "not.",
            "Under 2 is the same, under 5 a touch, under 10 warmer or cooler, beyond that much: words of ours.",
        ),
        (
            (
                "passages 7 units of CIELAB or more too warm or too cool, of 8 cm² or more",
                "43 of 43 found on 15 paintings, no false ones",
            ),
        ),
        (
            "That a cool light gives warm shadows, and a warm light cool ones, is common practice without a source: a "
            "reminder, never a verdict. Light of two colours on the canvas is said, not taken out.",
        ),
        (_AXIS,),
    ),
    Question.MIX: HelpPage(
        (
            "Each tube is kept as how much light it absorbs and scatters, wavelength by wavelength. Mixes are worked "
            "out from these and the paint's surface, and sought in few whole parts of few tubes.",
            "How far a mix is off is told as CIEDE2000: 1 is just seen side by side, 2 at a glance, 5 is another "
            "colour (common practice, no source).",
        ),
        (
            (
                "mixes of a tube of your own, from a photo of its card",
                "CIEDE2000 2.4 in the mean, 4.0 with the tube as stored; the camera is the limit",
            ),
        ),
        (
            "The tubes that come with the program are pigments, not your maker's paint: take them as a start and mix "
            "by eye from there. A printed card and a photo of it make a tube your own.",
        ),
        (
            "Mixing: Kubelka and Munk 1931. The surface: Saunderson 1942.",
            "Most earths: Okumura 2005; each tube says where its figures come from, or that they are from memory.",
            _DIFFERENCE,
        ),
    ),
    Question.MEND: HelpPage(
        (
            "The findings of all questions in one list, the largest first. Each is weighed by how far it is beyond its "
            "tolerance and how much of the canvas it covers; drawing counts twice, value once, edges and temperature "
            "half, and you can move these.",
        ),
        (
            (
                "corners and lens, outline found",
                "96 % of 348 photos (wall, easel, dark, frames, cluttered room) to 2 mm, median 0.04 mm; always "
                "offered, never forced",
            ),
        ),
        (
            "A list is of the photo it was made from. When drawing, reference or corners change, it says that it is "
            "out of date. It never says that a painting is good: only where it differs from its reference.",
        ),
        ("The weights are ours, no source.",),
    ),
    Question.SITTINGS: HelpPage(
        (
            "Layers are held against two rules of the handbooks: each holds at least as much oil as the one beneath, "
            "and dries no faster. Medium and pigments are what is known of that.",
            "When a layer is dry to the touch is told as a range, from pigments, medium, thickness, room and ground. "
            "Your own touch tests move it. Touch is the test: the forecast only says when to try.",
        ),
        (
            (
                "when a layer is dry to the touch",
                "the range of 10 to 90 % holds in 80 % of simulated layers; for a painter twice as fast as most in "
                "57 % before any touch test, in 79 % after six",
            ),
        ),
        (
            "Makers, light and air change drying more than any rule. Touch-dry is not cured. Labels, safety data "
            "sheets and local rules come before anything said here.",
        ),
        (
            "Fat over lean: Mayer 1991, Gottsegen 2006, Wehlte 1975, Saitzyk 1987.",
            "Varnish: Parkhurst 1898; Mayer and Gottsegen, from memory.",
            "Oily rags: NFPA tip sheet 2017; OSHA 29 CFR 1910.106.",
        ),
        "Measured on simulated painters and layers, drawn by the same rules: real ones differ more.",
    ),
}
