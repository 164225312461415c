"""Paint: what a tube absorbs and scatters, what several tubes are together, and which of them make a colour."""

from core.paint.fit import fit_paints
from core.paint.kubelka_munk import film, ks, over_two_grounds, reflectance, transmittance
from core.paint.paint import Mixture, Paint, mixture, predict
from core.paint.spectrum import WAVELENGTHS
from core.paint.surface import saunderson, saunderson_inverse

__all__ = [
    "WAVELENGTHS",
    "Mixture",
    "Paint",
    "film",
    "fit_paints",
    "ks",
    "mixture",
    "over_two_grounds",
    "predict",
    "reflectance",
    "saunderson",
    "saunderson_inverse",
    "transmittance",
]
