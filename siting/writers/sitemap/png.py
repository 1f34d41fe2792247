"""The first sheet of the site map as an image, sitemap.png: what a form on a web page takes."""

from __future__ import annotations

import io

DOTS_AN_INCH = 200


def first_page_png(pdf: bytes) -> bytes:
    """The first page in grey, 200 dots an inch, the same bytes for the same PDF."""
    import pypdfium2
    from PIL import Image

    document = pypdfium2.PdfDocument(pdf)
    try:
        grey = document[0].render(scale=DOTS_AN_INCH / 72.0, grayscale=True).to_numpy()
    finally:
        document.close()
    file = io.BytesIO()
    Image.fromarray(grey.reshape(grey.shape[0], grey.shape[1])).save(
        file, "PNG", dpi=(DOTS_AN_INCH, DOTS_AN_INCH), optimize=False
    )
    return file.getvalue()
