"""Write a phantom film as a picture without a header."""

from pathlib import Path

import numpy as np
import PIL.Image

from thumbwright.phantom.films import PhantomFilm


def write_png(film: PhantomFilm, path: Path) -> None:
    """Write the grey values as a 16-bit picture, larger is lighter, bone light.

    Parameters
    ----------
    film
        The film.
    path
        File to write.

    Notes
    -----
    Values of fewer bits are shifted up to 16, so that the picture is not black.
    """
    values = film.light.astype(np.uint16) << (16 - film.exposure.bits)
    PIL.Image.fromarray(values).save(path, format="PNG")
