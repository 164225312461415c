"""What a desktop is told of the program: the entry of its menu, and the metainfo of its software centre."""

from xml.sax.saxutils import escape

ID = "easelside"
SUMMARY = "A studio companion for realist oil painters"
ABOUT = (
    "Easelside says where a painting in progress has strayed from the photograph it is painted from: the drawing in "
    "millimetres on the canvas, the values in Munsell value steps, the edges from hard to lost, the temperature from "
    "warmer to cooler.",
    "A photo of the canvas is found, straightened and laid flat beside the reference. What to mend is listed, largest "
    "first, and printed to hang beside the easel. Everything stays on the painter's own machine.",
)


def entry(command: str = ID) -> str:
    """The desktop entry; ``command`` starts the program. Desktop Entry Specification 1.4 of freedesktop.org."""
    lines = {
        "Type": "Application",
        "Version": "1.4",
        "Name": "Easelside",
        "GenericName": "Painter's Companion",
        "Comment": "See where a painting has strayed from its photograph",
        "Exec": f"{command} %F",
        "Icon": ID,
        "Terminal": "false",
        "Categories": "Graphics;Art;",
        "Keywords": "painting;oil;canvas;drawing;value;colour;",
        "MimeType": "image/jpeg;image/png;image/tiff;image/heif;image/webp;",
        "StartupNotify": "true",
        "StartupWMClass": ID,
    }
    return "[Desktop Entry]\n" + "".join(f"{key}={value}\n" for key, value in lines.items())


def metainfo(version: str, date: str) -> str:
    """AppStream metainfo of the release ``version`` of the day ``date``, written YYYY-MM-DD."""
    about = "\n".join(f"    <p>{escape(text)}</p>" for text in ABOUT)
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<component type="desktop-application">
  <id>{ID}</id>
  <metadata_license>CC0-1.0</metadata_license>
  <project_license>GPL-3.0-or-later</project_license>
  <name>Easelside</name>
  <summary>{escape(SUMMARY)}</summary>
  <description>
{about}
  </description>
  <launchable type="desktop-id">{ID}.desktop</launchable>
  <icon type="stock">{ID}</icon>
  <categories>
    <category>Graphics</category>
    <category>Art</category>
  </categories>
  <content_rating type="oars-1.1"/>
  <releases>
    <release version="{escape(version)}" date="{escape(date)}"/>
  </releases>
</component>
"""
