"""Pictures as they are put on cards: decoded, upright, not larger than needed."""

import io

LARGEST_PIXELS = 1600


def readable_picture(data: bytes) -> tuple[bytes, float, str] | None:
    """Return a picture's bytes, width / height and file ending; None if it is no PNG or JPEG."""
    from PIL import Image, ImageOps

    try:
        # Decoding alone takes a PNG whose end is cut off, which cannot be set on a card.
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
            picture.verify()
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
            ending = "png" if picture.format == "PNG" else "jpg"
            picture.load()
            upright = ImageOps.exif_transpose(picture)
            if max(picture.size) > LARGEST_PIXELS or upright.size != picture.size:
                upright.thumbnail((LARGEST_PIXELS, LARGEST_PIXELS))
                file = io.BytesIO()
                upright.save(file, format="PNG" if ending == "png" else "JPEG")
                data = file.getvalue()
            return data, upright.width / upright.height, ending
    # Whatever a decoder says about hostile bytes: the card is printed without the picture.
    except Exception:
        return None
