"""The pages of a proof that show the wrapped piece, and the pieces that go with its label."""

from __future__ import annotations

from labelkit.compose.suite import ComposedPiece
from labelkit.pdf.write.draw import define_panel, format_pdf_number, stroke_operator
from labelkit.pdf.write.page import FAINT, INK, MARGIN_MM, QUIET, format_points
from labelkit.report.captions import Captions
from labelkit.report.proof_sheet import CAPTION_MM, CAPTION_PT, ProofSheet, format_mm
from labelkit.report.wrapped_drawing import draw_view
from labelkit.report.wrapped_piece import AROUND_MM, DRIFT_MM, View, list_faces, make_views

VIEW_GAP_MM = 9.0
VIEW_BELOW_MM = 8.0
"""What a row of views takes beside its height: captions, space."""
TOLD_MM = 4.0
PIECE_BELOW_MM = 17.0
LEAST_PIECE_MARGIN_MM = 6.0
"""A long piece may reach into the margin of its page."""


def list_view_rows(views: tuple[View, ...]) -> list[tuple[View, ...]]:
    """Front beside back; below them the same with the band."""
    rows = [tuple(v for v in views if v.banded is banded) for banded in (False, True)]
    return [row for row in rows if row]


def describe_view(view: View, words: Captions) -> str:
    """The caption below a view."""
    side = words.panel(view.side)
    return words.banded.format(side=side) if view.banded else side


def describe_views(
    views: tuple[View, ...], scale: float, words: Captions, wrap: str, said: str = ""
) -> str:
    """What the views are, how large they are drawn (or as ``said``), and how true."""
    soap = views[-1].soap
    at = said or words.looks_scale.format(percent=f"{100 * scale:.0f}")
    width, height, thick = (
        format_mm(side, words.locale) for side in (soap.width_mm, soap.height_mm, soap.thick_mm)
    )
    return words.looks_told.format(
        scale=words.actual_size if scale == 1.0 and not said else at,
        width=width,
        height=height,
        thick=thick,
        wrap=words.looks_wraps[wrap],
        drift=format_mm(DRIFT_MM, words.locale),
    )


class SuitePages(ProofSheet):
    """What a proof shows beside the label's own panels."""

    def draw_looks(self, low_mm: float) -> None:
        """The wrapped piece from both sides, as large as the page has room for above ``low_mm``."""
        views = make_views(self.job, self._shown.first)
        if not views:
            return
        rows = list_view_rows(views)
        wide = max(sum(view.width_mm for view in row) for row in rows)
        high = sum(row[0].height_mm for row in rows)
        across = self.right - MARGIN_MM - VIEW_GAP_MM
        free = self.y - low_mm - VIEW_BELOW_MM * len(rows) - 5 * TOLD_MM
        scale = min(1.0, across / wide, max(free, 20.0) / high)
        scale = scale if scale == 1.0 else int(100 * scale) / 100
        forms = self._define_faces(views)
        self.text(self.words.looks, self._middle, self.y, self.serif, 13, INK, "centre")
        self.y -= 4
        for row in rows:
            self._draw_row(row, scale, forms)
        wrap = "paper" if views[0].in_paper else "film"
        told = describe_views(views, scale, self.words, wrap)
        for line in self.lines(told, MARGIN_MM, CAPTION_PT):
            self.text(line, self._middle, self.y, self.plain, CAPTION_PT, QUIET, "centre")
            self.y -= CAPTION_MM
        self.y -= TOLD_MM

    def _define_faces(self, views: tuple[View, ...]) -> dict[int, str]:
        """A form for each panel that is seen, by the panel's identity."""
        forms: dict[int, str] = {}
        for face in list_faces(views):
            panel = face.composed.panel
            if id(panel) not in forms:
                self._faces.update(face.composed.faces)
                forms[id(panel)] = f"seen{len(forms)}"
                define_panel(self.canvas, forms[id(panel)], panel, self.fonts, 0.0)
        return forms

    def _draw_row(self, row: tuple[View, ...], scale: float, forms: dict[int, str]) -> None:
        wide = sum(view.width_mm for view in row) * scale + VIEW_GAP_MM * (len(row) - 1)
        high = row[0].height_mm * scale
        x, foot = self._middle - wide / 2, self.y - high
        for view in row:
            draw_view(self.canvas, view, (x, foot), scale, self.fonts, forms)
            middle = x + (AROUND_MM + view.soap.width_mm / 2) * scale
            caption = describe_view(view, self.words)
            self.text(caption, middle, foot - 2.5, self.plain, CAPTION_PT, QUIET, "centre")
            x += view.width_mm * scale + VIEW_GAP_MM
        self.y = foot - VIEW_BELOW_MM

    # -- what goes with the label

    def draw_pieces(self, pieces: tuple[tuple[int, ComposedPiece], ...]) -> None:
        """Every piece flat at actual size, its folds broken; a long one turned."""
        most = self.page_mm[0] - 2 * LEAST_PIECE_MARGIN_MM
        for index, made in pieces:
            panel = made.whole.panel
            turned = panel.width_mm > most
            wide, high = panel.width_mm, panel.height_mm
            if turned:
                wide, high = high, wide
            self.room(high + PIECE_BELOW_MM)
            x, foot = self._middle - wide / 2, self.y - high
            self._draw_flat(index, made, (x, foot), turned)
            self._across(x, foot - 3.0, wide, wide)
            self._up(x - 3.0, foot, high, high)
            self._tell_piece(made, foot - 10.2)
            self.y = foot - PIECE_BELOW_MM

    def _draw_flat(
        self, index: int, made: ComposedPiece, place: tuple[float, float], turned: bool
    ) -> None:
        panel, (x, y), code = made.whole.panel, place, self.canvas._code
        if turned:
            code.append(f"q 0 1 -1 0 {format_points(x + panel.height_mm)} {format_points(y)} cm")
            x, y = 0.0, 0.0
        self._place(index, made.whole, x, y, 1.0, self._shown.first)
        dash = f"[{format_points(1.2)} {format_points(1.0)}] 0 d"
        code = self.canvas._code
        code += ["q", stroke_operator(FAINT), f"{format_pdf_number(0.4)} w {dash}"]
        for fold in made.piece.folds:
            x0, y0 = (x + fold.at_mm, y) if fold.upright else (x, y + fold.at_mm)
            x1, y1 = (x0, y + panel.height_mm) if fold.upright else (x + panel.width_mm, y0)
            code.append(
                f"{format_points(x0)} {format_points(y0)} m"
                f" {format_points(x1)} {format_points(y1)} l S"
            )
        code.append("Q")
        if turned:
            code.append("Q")

    def _tell_piece(self, made: ComposedPiece, y: float) -> None:
        words = self.words
        name, size = words.panel(made.piece.kind), words.actual_size
        told = words.folds.format(panel=name, size=size) if made.piece.folds else f"{name}, {size}"
        self.text(told, self._middle, y, self.plain, CAPTION_PT, QUIET, "centre")
