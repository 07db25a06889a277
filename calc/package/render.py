"""HTML to PDF/A: no address but the project's own, no warning passed over, the same bytes from the same run."""

import gc
import logging
from base64 import b64decode
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from functools import partial
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from re import Match, sub
from typing import Any
from warnings import catch_warnings, simplefilter

import weasyprint
from pikepdf import ObjectStreamMode, Pdf
from weasyprint.images import SVGImage
from weasyprint.text.fonts import FontConfiguration

from calc.package.attached import Attached, Kept, PackageError
from calc.package.outlines import outlines
from calc.package.page_styles import PackageHTML, styles_read_once
from calc.package.quick_writing import quick_writing
from calc.package.shared_faces import shared_faces
from calc.package.whole_lines import whole_lines
from calc.package.whole_texts import whole_texts
from calc.resources import template_folder

__all__ = ["Attached", "PackageError", "render_pdf"]

VARIANT = "pdf/a-3b"
EDGE = 2.0  # CSS pixels that a shared picture may reach over its size


class OwnFilesOnly(weasyprint.urls.URLFetcher):  # type: ignore[misc]
    """Opens data addresses, pictures and attachments by their name and files of the template folder, nothing else."""

    def __init__(
        self, folder: Path, pictures: Mapping[str, str] | None = None, attached: Mapping[str, Attached] | None = None
    ) -> None:
        super().__init__(allowed_protocols=["data", "file"], allow_redirects=False)
        self._own = folder.resolve()
        self._pictures = pictures or {}
        self._attached = attached or {}

    def fetch(self, url: str, headers: Any = None) -> Any:
        """Refuse every address outside the template folder; WeasyPrint reports it, and the report fails the run."""
        if url in self._attached:
            file = self._attached[url]
            return weasyprint.urls.URLFetcherResponse(url, file.content, {"Content-Type": file.mime})
        if url in self._pictures:
            return super().fetch(self._pictures[url], headers)
        if not url.startswith("data:"):
            path = Path(weasyprint.urls.URLFetcherResponse(url).path or "/").resolve()
            if not path.is_relative_to(self._own):
                message = f"pages may not load {url}"
                raise ValueError(message)
        return super().fetch(url, headers)


def render_pdf(html: str, attached: Sequence[Attached], dated: date) -> bytes:
    """The pages as PDF/A-3b with structure tags and attachments; every date in it is `dated`.

    Raises `PackageError` with all reports of the renderer if there is any of the level of a warning or above.
    """
    return pack_pdf(open_pdf(lay_out(html, attached, dated)))


def lay_out(html: str, attached: Sequence[Attached] = (), dated: date = date.min, *, piece: bool = False) -> bytes:
    """The same as the renderer writes it: all objects in one stream; a `piece` draws numbers that its pages get later.

    Keys of the heads of tables begin with a hash of the text, so that pages which are joined have none in common.
    """
    folder = template_folder()
    moment = datetime(dated.year, dated.month, dated.day, tzinfo=UTC)
    key = sha256(html.encode()).hexdigest()[:12]
    html, pictures, times = _named_pictures(html)
    # In the order of their names, which the tree of names in the file asks for.
    files = {f"attached:{place}": file for place, file in enumerate(sorted(attached, key=lambda file: file.name))}
    fetcher = OwnFilesOnly(folder, pictures, files)
    with _reports() as reports, _resting_collector(), _fonts() as fonts, shared_faces():
        images: dict[str, Any] = {}
        with whole_lines(), styles_read_once(reports):
            document = PackageHTML(string=html, base_url=folder.as_uri() + "/", url_fetcher=fetcher).render(
                font_config=fonts, cache=images
            )
        _share_pictures(pictures, times, images)
        document.metadata.attachments = [_attachment(url, file, moment, fetcher) for url, file in files.items()]
        with catch_warnings():
            # The renderer leaves the file of its colour profile to be closed by the collector.
            simplefilter("ignore", ResourceWarning)
            with quick_writing(), whole_texts():
                # For an identifier the renderer would write everything twice; the packed file gets one of its content.
                content = document.write_pdf(
                    pdf_variant=VARIANT, pdf_tags=True, pdf_identifier=False, finisher=partial(_finish, key, piece)
                )
    if reports:
        message = "the pages could not be made as they must be: " + "; ".join(dict.fromkeys(reports))
        raise PackageError(message)
    return content  # type: ignore[no-any-return]


def kept_pages(html: str, kept: Kept | None, *, piece: bool = True) -> bytes:
    """Pages laid out without attachments, or those that are kept of the same text."""
    made = kept.read(html) if kept else None
    if made is None:
        made = lay_out(html, piece=piece)
        if gc.isenabled():  # where it is not, the process ends with these pages
            # Boxes refer to each other, so that only the collector lets them go before the next pages.
            gc.collect(1)
        if kept:
            kept.keep(html, made)
    return made


def open_pdf(content: bytes) -> Pdf:
    """A file to be read, changed or joined."""
    return Pdf.open(BytesIO(content))


def pack_pdf(pdf: Pdf) -> bytes:
    """A file with its objects in streams of a hundred, the same bytes from the same content.

    The renderer packs twenty thousand and more into one, and readers that look an object up walk through the head of
    its stream each time: a validator of signatures that compares the states of a signed file would need hours.
    """
    made = BytesIO()
    pdf.save(made, object_stream_mode=ObjectStreamMode.generate, deterministic_id=True, fix_metadata_version=False)
    return made.getvalue()


class _Once:
    """Draws a picture into the file once for each size, and from then on refers to it."""

    def __init__(self, draw: Callable[..., None]) -> None:
        self._draw = draw
        self._made: dict[tuple[int, float, float], str] = {}

    def __call__(self, stream: Any, width: float, height: float, style: Any) -> None:
        # All pages share one dictionary of resources; a group within a page has its own.
        key = (id(stream._resources), width, height)  # noqa: SLF001
        if key not in self._made:
            form = stream.add_group(-EDGE, -EDGE, width + 2 * EDGE, height + 2 * EDGE)
            del form.extra["Group"]  # nothing shines through: a plain form serves older printers too
            self._draw(form, width, height, style)
            self._made[key] = form.id
        stream.draw_x_object(self._made[key])


def _named_pictures(html: str) -> tuple[str, dict[str, str], Counter[str]]:
    """The pages with a short name for each picture, the address of each name, and how often it stands there.

    Addresses hold the pictures themselves: nine tenths of what the reader of the pages would have to go through.
    """
    names: dict[str, str] = {}
    times: Counter[str] = Counter()

    def name_picture(match: Match[str]) -> str:
        name = names.setdefault(match[2], f"picture:{len(names)}")
        times[name] += 1
        return f"{match[1]}{name}"

    html = sub(r'(<img [^>]*?src=")(data:image/svg\+xml;base64,[^"]+)', name_picture, html)
    return html, {name: address for address, name in names.items()}, times


def _share_pictures(pictures: Mapping[str, str], times: Mapping[str, int], images: dict[str, Any]) -> None:
    """Write outlines as they are, and pictures which repeat once: an equation stands in every section.

    Those with text are left on the page, where a search finds its place.
    """
    for name, address in pictures.items():
        image, content = images.get(name), b64decode(address.partition(",")[2])
        if not isinstance(image, SVGImage) or b"<text" in content:
            continue
        if drawn := outlines(content):
            image.draw = drawn.draw
        if times[name] > 1:
            image.draw = _Once(image.draw)


def _attachment(url: str, attached: Attached, moment: datetime, fetcher: OwnFilesOnly) -> weasyprint.Attachment:
    # By an address, because only that brings its MIME type with it whatever the machine knows about endings.
    return weasyprint.Attachment(
        url=url,
        url_fetcher=fetcher,
        name=attached.name,
        description=attached.description,
        created=moment,
        modified=moment,
        relationship=attached.relationship,
    )


def number_name(place: int) -> str:
    """The name under which a page of a piece draws its number, by its place in the piece."""
    return f"PageNumber{place}"


def _finish(key: str, piece: bool, _document: weasyprint.Document, pdf: Any) -> None:
    """Name each associated file once, which the renderer does twice, and the heads of tables as no other pages do."""
    files = pdf.catalog.get("AF", [])
    files[:] = list(dict.fromkeys(files))
    for element in pdf.objects:
        if isinstance(element, dict) and element.get("S") == "/TH" and "ID" in element:
            element["ID"].string = f"{key}-{element['ID'].string}"
    for place, number in enumerate(pdf.pages["Kids"][::3] if piece else ()):
        page = pdf.objects[number]
        height = page["MediaBox"][3]
        # The renderer counts from the top: turned over again it is upright.
        drawn = f"q 1 0 0 -1 0 {height:.4f} cm /{number_name(place)} Do Q"
        pdf.objects[int(page["Contents"].split()[0])].stream.append(drawn.encode())


@contextmanager
def _reports() -> Iterator[list[str]]:
    """Everything that the renderer and the font tools report as a warning or worse."""
    messages: list[str] = []

    class Collect(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            messages.append(record.getMessage())

    handler = Collect(logging.WARNING)
    loggers = [logging.getLogger(name) for name in ("weasyprint", "fontTools")]
    kept = [(logger, logger.propagate, list(logger.handlers)) for logger in loggers]
    for logger in loggers:
        logger.handlers[:], logger.propagate = [handler], False
    try:
        yield messages
    finally:
        for logger, propagate, handlers in kept:
            logger.handlers[:], logger.propagate = handlers, propagate


@contextmanager
def _fonts() -> Iterator[FontConfiguration]:
    """Fonts of pages; the renderer leaves their files to a collector that a process may never call."""
    fonts = FontConfiguration()
    try:
        yield fonts
    finally:
        fonts.__del__()


@contextmanager
def _resting_collector() -> Iterator[None]:
    """Keep the garbage collector from walking the box tree over and over: a third of the time of a large package.

    The boxes are let go by their counts; what little refers to itself is collected afterwards.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
