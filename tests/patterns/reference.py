"""ITU-R BT.601 and BT.1886 by colour-science, a general-purpose library of colorimetry."""

import warnings

import numpy as np
from numpy.typing import NDArray

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # it tells on import that its plotting is not installed
    import colour


def codes_601(signal: NDArray[np.float64]) -> NDArray[np.int64]:
    """8-bit Y, Cb, Cr of ``signal[..., 3]``, R'G'B' 0 … 1."""
    weights = colour.WEIGHTS_YCBCR["ITU-R BT.601"]
    return np.asarray(colour.RGB_to_YCbCr(signal, K=weights, out_legal=True, out_bits=8, out_int=True), dtype=np.int64)


def light_1886(signal: NDArray[np.float64]) -> NDArray[np.float64]:
    """Light of a reference tube, white at 1 and black at 0 (ITU-R BT.1886)."""
    return np.asarray(colour.models.eotf_BT1886(signal, L_B=0, L_W=1))
