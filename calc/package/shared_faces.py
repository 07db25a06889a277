"""Texts of one look share their description of the font; the renderer makes it anew for every piece of a text."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import weasyprint

# All on which the description depends, and what the renderer sets beside it where it is not as usual.
OF_FONT = ("font_style", "font_stretch", "font_weight", "font_size", "font_variant_caps", "font_variation_settings")
USUAL = {
    "font_language_override": "normal",
    "text_decoration_line": "none",
    "font_kerning": "auto",
    "font_variant_ligatures": "normal",
    "font_variant_position": "normal",
    "font_variant_caps": "normal",
    "font_variant_numeric": "normal",
    "font_variant_alternates": "normal",
    "font_variant_east_asian": "normal",
    "font_feature_settings": "normal",
}


@contextmanager
def shared_faces() -> Iterator[None]:
    """Let texts of the usual kind share what they are drawn with while a document is laid out and written.

    Raises ``AttributeError`` where the renderer has no such function.
    """
    library: Any = weasyprint.text.line_break
    layouts, ffi, pango, gobject = library.Layout, library.ffi, library.pango, library.gobject
    setup = layouts.setup
    faces: dict[tuple[Any, ...], tuple[Any, Any, Any]] = {}

    def face_of(style: Any) -> tuple[Any, Any, Any] | None:
        if any(style[name] != usual for name, usual in USUAL.items()):
            return None
        fonts = style.font_config.font_map
        key = fonts, tuple(style["font_family"]), style["lang"], style["direction"], *(style[name] for name in OF_FONT)
        if key not in faces:
            context = ffi.gc(pango.pango_font_map_create_context(fonts), gobject.g_object_unref)
            pango.pango_context_set_round_glyph_positions(context, False)
            pango.pango_context_set_base_dir(context, library.PANGO_DIRECTION[style["direction"]])
            language = pango.pango_language_get_default()
            if style["lang"]:
                language = pango.pango_language_from_string(library.unicode_to_char_p(style["lang"])[0])
                pango.pango_context_set_language(context, language)
            faces[key] = context, language, library.get_font_description(style)
        return faces[key]

    def shared(layout: Any, style: Any) -> None:
        own = vars(style)
        if "shared_face" not in own:
            own["shared_face"] = face_of(style)
        face = own["shared_face"]
        if face is None:
            setup(layout, style)
            return
        context, layout.language, description = face
        layout.style, layout.first_line_direction = style, 0
        layout.layout = ffi.gc(pango.pango_layout_new(context), gobject.g_object_unref)
        pango.pango_layout_set_auto_dir(layout.layout, False)
        pango.pango_layout_set_font_description(layout.layout, description)
        layout.ascent = layout.underline_position = layout.strikethrough_position = None

    layouts.setup = shared
    try:
        yield
    finally:
        layouts.setup = setup
