"""What the live page says, in the painter's words."""

from typing import TYPE_CHECKING

from core.canvas.corners import NAMES

if TYPE_CHECKING:
    from core.canvas.following import Followed

OPENING = "Opening {name}…"
LISTING = "Looking for cameras…"
NO_CAMERAS = "No camera was found on this machine. Plug one in and look again, or use a phone as a network camera."
STAYS_HERE = "Nothing leaves this machine: the picture is shown, and kept only when you press “Keep this”."
WAYS = (
    "A webcam, or a phone that this computer knows as one.",
    "A phone or a camera on your own network, by its address.",
    "A film of the canvas, played as if it were happening now.",
)
ADDRESS_HINT = (
    "A camera app on the phone shows an address: type it in as it stands there. Phone and computer must be on the same "
    "network, one you trust: the picture crosses it unsealed."
)
NOT_PLACED = "The canvas is not followed yet. Place its four corners once; from then on it is followed."
NOT_SEEN = "The canvas is not seen. Bring the whole of it into the picture, or place its corners again."
HELD = "Held where it was last seen: step aside, or bring the canvas’s edges into the picture."
LEARNT = "Corner tabs are seen: the canvas is followed by them from now on."
LOOK_ONLY = "This painting is open only to look, so nothing can be kept on its ledge."
NOTHING_YET = "There is no picture yet to be kept."
_FINEST_MM = 0.1


def following(followed: "Followed | None", *, has_follower: bool) -> str:
    """How the canvas is followed just now, and what to do where it is not."""
    if not has_follower:
        return NOT_PLACED
    if followed is None:
        return NOT_SEEN
    if followed.by == "held":
        return f"Held: {followed.say}" if followed.say else HELD
    good_to = f"±{max(followed.uncertainty_mm, _FINEST_MM):.1f} mm"
    if followed.by == "edges":
        told = f"Followed by the canvas’s edges, {good_to}."
    elif len(followed.tabs) == 1:
        told = f"Followed by the {NAMES[followed.tabs[0]]} tab, {good_to}."
    else:
        told = f"Followed by {len(followed.tabs)} tabs, {good_to}."
    return f"{told} {followed.say}".rstrip()


def canvas_title(look: str, squint_mm: float, *, flat: bool, wanted_flat: bool, matched: bool) -> str:
    """Over the live picture."""
    parts = ["Live", *([look] if look else [])]
    if squint_mm:
        parts.append(f"squint {squint_mm:g} mm")
    if not flat:
        parts.append("not laid flat yet" if wanted_flat else "as the camera sees it")
    if matched:
        parts.append("brightness matched")
    return " · ".join(parts)
