"""Names a painter may want for a landmark, by the kind of picture; any other name will do as well."""

from collections.abc import Collection

NAMES: dict[str, tuple[str, ...]] = {
    "head": (
        "crown of the head", "hairline", "brow ridge", "left eyebrow's inner end", "left eyebrow's peak",
        "right eyebrow's inner end", "right eyebrow's peak", "left eye's inner corner", "left eye's outer corner",
        "right eye's inner corner", "right eye's outer corner", "left pupil", "right pupil", "bridge of the nose",
        "tip of the nose", "left wing of the nose", "right wing of the nose", "base of the nose",
        "mouth's left corner", "mouth's right corner", "middle of the upper lip", "middle of the lower lip",
        "parting of the lips", "hollow of the chin", "point of the chin", "left corner of the jaw",
        "right corner of the jaw", "left cheekbone", "right cheekbone", "top of the left ear", "left earlobe",
        "top of the right ear", "right earlobe", "pit of the neck",
    ),
    "figure": (
        "left shoulder", "right shoulder", "left collarbone's end", "right collarbone's end", "left elbow",
        "right elbow", "left wrist", "right wrist", "left knuckles", "right knuckles", "left fingertip",
        "right fingertip", "left nipple", "right nipple", "navel", "waist, left", "waist, right", "left hip",
        "right hip", "crotch", "left knee", "right knee", "left ankle", "right ankle", "left heel", "right heel",
        "left toe", "right toe",
    ),
    "still life": (
        "rim, left", "rim, right", "rim, nearest", "rim, farthest", "lip of the spout", "handle's top",
        "handle's bottom", "handle's outermost", "shoulder, left", "shoulder, right", "belly, left", "belly, right",
        "foot, left", "foot, right", "stem", "stalk", "blossom end", "highest light", "edge of the table, left",
        "edge of the table, right", "near corner of the table", "fold of the cloth", "hem of the cloth",
        "tip of the shadow",
    ),
    "building": (
        "ridge, left end", "ridge, right end", "eaves, left", "eaves, right", "top of the gable", "chimney's top",
        "corner at the ground", "corner at the eaves", "door's top left", "door's top right", "doorstep, left",
        "doorstep, right", "window's top left", "window's top right", "window's bottom left",
        "window's bottom right", "horizon, left", "horizon, right", "vanishing point",
    ),
}  # fmt: skip


def suggested_names(typed: str = "", *, taken: Collection[str] = (), most: int = 5) -> list[str]:
    """Names that go with what is typed so far, at most ``most``, none of those ``taken``.

    Each typed word must begin a word of the name; names that begin with all that is typed come first.
    """
    words = typed.casefold().split()
    start = " ".join(words)
    used = {" ".join(name.casefold().split()) for name in taken}
    fitting = [
        name
        for name in dict.fromkeys(name for names in NAMES.values() for name in names)
        if name.casefold() not in used and _fits(words, name)
    ]
    return sorted(fitting, key=lambda name: not name.casefold().startswith(start))[:most]


def _fits(words: list[str], name: str) -> bool:
    there = name.casefold().replace(",", "").replace("-", " ").split()
    return all(any(each.startswith(word) for each in there) for word in words)
