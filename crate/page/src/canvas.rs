//! Draws a scene on a canvas, sharp on every screen.
//!
//! The backing store has the screen's own pixels; one transform is set, and everything is drawn in
//! CSS pixels. What is drawn and how it looks is decided in the library; this file only carries
//! lines, circles and words over. What a drag does not move is drawn once, on a sheet of its own that
//! is laid under each draw. Knows no state.

use extrados::scene::ink::{Fill, Ink, Outline, Stroke, inks};
use extrados::scene::style::{Colour, Hatch, Medium, Weight};
use extrados::scene::{Anchor, Item, Scene, Spot};
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{CanvasRenderingContext2d, CanvasWindingRule, HtmlCanvasElement};

/// CSS pixels for a millimetre of the drawing: an inch is 96 of them.
pub const PX_PER_MM: f64 = 96.0 / 25.4;

const FONT: &str = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Liberation Sans', Arial, sans-serif";

/// A canvas with the screen's pixel ratio.
pub struct Canvas {
    sheet: Sheet,
    ground: Sheet,
    /// What stands on the ground's sheet.
    kept: Vec<Item>,
    size: [f64; 2],
    ratio: f64,
}

/// Something to draw on.
struct Sheet {
    element: HtmlCanvasElement,
    pen: CanvasRenderingContext2d,
}

impl Sheet {
    fn on(element: HtmlCanvasElement) -> Result<Self, JsValue> {
        let pen = element
            .get_context("2d")?
            .ok_or_else(|| JsValue::from_str("This browser gives no canvas to draw on."))?
            .dyn_into()?;
        Ok(Sheet { element, pen })
    }

    fn fit(&self, size: [f64; 2], ratio: f64) {
        self.element.set_width((size[0] * ratio).round() as u32);
        self.element.set_height((size[1] * ratio).round() as u32);
    }
}

impl Canvas {
    /// Takes over a canvas element.
    ///
    /// # Errors
    /// Where the browser gives no drawing context.
    pub fn new(element: HtmlCanvasElement) -> Result<Self, JsValue> {
        let ground = element.clone_node()?.dyn_into()?;
        Ok(Canvas {
            sheet: Sheet::on(element)?,
            ground: Sheet::on(ground)?,
            kept: Vec::new(),
            size: [0.0, 0.0],
            ratio: 0.0,
        })
    }

    /// The element.
    pub fn element(&self) -> &HtmlCanvasElement {
        &self.sheet.element
    }

    /// Fits the backing store to the element's size in CSS pixels and the screen's pixel ratio.
    ///
    /// Setting a canvas's size clears it, so it is done only where something differs.
    pub fn fit(&mut self, size: [f64; 2], ratio: f64) {
        let ratio = if ratio.is_finite() && ratio > 0.0 { ratio.min(4.0) } else { 1.0 };
        if size == self.size && ratio == self.ratio {
            return;
        }
        (self.size, self.ratio) = (size, ratio);
        self.sheet.fit(size, ratio);
        self.ground.fit(size, ratio);
        self.kept.clear();
    }

    /// Leaves nothing on it.
    ///
    /// # Errors
    /// What the browser refuses.
    pub fn wipe(&self) -> Result<(), JsValue> {
        self.wiped(&self.sheet)
    }

    fn wiped(&self, sheet: &Sheet) -> Result<(), JsValue> {
        sheet.pen.set_transform(self.ratio, 0.0, 0.0, self.ratio, 0.0, 0.0)?;
        sheet.pen.clear_rect(0.0, 0.0, self.size[0], self.size[1]);
        sheet.pen.set_line_join("round");
        Ok(())
    }

    /// Draws a scene; what was there is wiped.
    ///
    /// # Errors
    /// What the browser refuses.
    pub fn draw(&mut self, scene: &Scene) -> Result<(), JsValue> {
        let (ground, above) = scene.items.split_at(scene.ground.min(scene.items.len()));
        if self.kept != ground {
            self.kept.clear();
            self.wiped(&self.ground)?;
            self.ground.items(ground, scene.medium)?;
            self.kept = ground.to_vec();
        }
        self.wipe()?;
        if !ground.is_empty() && self.ground.element.width() > 0 && self.ground.element.height() > 0 {
            // Pixel on pixel: any scale would blur it.
            self.sheet.pen.set_transform(1.0, 0.0, 0.0, 1.0, 0.0, 0.0)?;
            self.sheet.pen.draw_image_with_html_canvas_element(&self.ground.element, 0.0, 0.0)?;
            self.sheet.pen.set_transform(self.ratio, 0.0, 0.0, self.ratio, 0.0, 0.0)?;
        }
        self.sheet.items(above, scene.medium)
    }
}

impl Sheet {
    fn items(&self, items: &[Item], medium: Medium) -> Result<(), JsValue> {
        for item in items {
            for ink in inks(item, medium) {
                self.ink(&ink)?;
            }
        }
        Ok(())
    }

    fn ink(&self, ink: &Ink) -> Result<(), JsValue> {
        if let Outline::Words { at, words, then, anchor, size_mm, weight } = &ink.outline {
            let colour = match ink.fill {
                Some(Fill::Flat(colour, _)) => Some(colour),
                Some(Fill::Hatch(_)) | None => None,
            };
            let mut pieces = vec![Piece { words, size_mm: *size_mm, weight: *weight, colour }];
            pieces.extend(then.iter().map(|then| Piece {
                words: &then.words,
                size_mm: then.size_mm,
                weight: then.weight,
                colour: then.colour,
            }));
            return self.words(&pieces, *at, *anchor, ink.stroke.as_ref());
        }
        self.pen.begin_path();
        match &ink.outline {
            Outline::Line(points) => self.trace(points, false),
            Outline::Rings(rings) => rings.iter().for_each(|ring| self.trace(ring, true)),
            Outline::Circle { centre, radius_mm } => {
                let radius = (radius_mm * PX_PER_MM).max(0.0);
                self.pen.arc(px(centre[0]), px(centre[1]), radius, 0.0, std::f64::consts::TAU)?;
            }
            Outline::Words { .. } => {}
        }
        match ink.fill {
            Some(Fill::Flat(colour, share)) => {
                self.pen.set_global_alpha(share);
                self.pen.set_fill_style_str(colour.0);
                self.pen.fill_with_canvas_winding_rule(CanvasWindingRule::Evenodd);
                self.pen.set_global_alpha(1.0);
            }
            Some(Fill::Hatch(token)) => {
                if let (Some(hatch), Some(extent)) = (token.look().hatch, extent(&ink.outline)) {
                    self.hatch(&hatch, extent)?;
                    // The hatch left its own lines as the path.
                    if ink.stroke.is_some() {
                        return self.ink(&Ink { fill: None, ..ink.clone() });
                    }
                }
            }
            None => {}
        }
        if let Some(stroke) = &ink.stroke {
            self.stroke(stroke);
        }
        Ok(())
    }

    fn trace(&self, points: &[Spot], closed: bool) {
        for (index, point) in points.iter().enumerate() {
            if index == 0 {
                self.pen.move_to(px(point[0]), px(point[1]));
            } else {
                self.pen.line_to(px(point[0]), px(point[1]));
            }
        }
        if closed && !points.is_empty() {
            self.pen.close_path();
        }
    }

    fn stroke(&self, stroke: &Stroke) {
        self.pen.set_stroke_style_str(stroke.colour.0);
        self.pen.set_line_width(px(stroke.width_mm));
        if stroke.dash_mm.is_empty() {
            self.pen.stroke();
            return;
        }
        let dash: js_sys::Array = stroke.dash_mm.iter().map(|mm| JsValue::from_f64(px(*mm))).collect();
        // Refused only for what is no list of numbers.
        let _ = self.pen.set_line_dash(&dash);
        self.pen.stroke();
        let _ = self.pen.set_line_dash(&js_sys::Array::new());
    }

    /// Fills the path that stands with parallel lines; they lie on the paper, as in the SVG.
    fn hatch(&self, hatch: &Hatch, extent: [f64; 4]) -> Result<(), JsValue> {
        let [left, top, right, bottom] = extent;
        // Lines run along (cos, −sin), since y points down; `across` counts the way over them.
        let (along, across) = ([hatch.angle.cos(), -hatch.angle.sin()], [hatch.angle.sin(), hatch.angle.cos()]);
        let corners = [[left, top], [right, top], [right, bottom], [left, bottom]];
        let span = |way: [f64; 2]| {
            corners
                .iter()
                .map(|corner| corner[0] * way[0] + corner[1] * way[1])
                .fold([f64::INFINITY, f64::NEG_INFINITY], |span, value| [span[0].min(value), span[1].max(value)])
        };
        let ([from, to], [first, last]) = (span(along), span(across));
        // A drawing is a page wide: more lines than this are a fault of the data, not a hatch.
        let lines = ((last - first) / hatch.step_mm).ceil();
        if !lines.is_finite() || lines > 2000.0 {
            return Ok(());
        }
        self.pen.save();
        self.pen.clip_with_canvas_winding_rule(CanvasWindingRule::Evenodd);
        self.pen.begin_path();
        let mut place = ((first / hatch.step_mm).floor() + 0.5) * hatch.step_mm;
        while place < last {
            let spot = |mm: f64| [mm * along[0] + place * across[0], mm * along[1] + place * across[1]];
            self.trace(&[spot(from), spot(to)], false);
            place += hatch.step_mm;
        }
        self.pen.set_stroke_style_str(hatch.colour.0);
        self.pen.set_line_width(px(hatch.width_mm));
        self.pen.set_global_alpha(hatch.opacity);
        self.pen.stroke();
        self.pen.restore();
        Ok(())
    }

    /// Words on one base line, piece after piece, the whole of them anchored; the halo lies under all.
    fn words(&self, pieces: &[Piece<'_>], at: Spot, anchor: Anchor, halo: Option<&Stroke>) -> Result<(), JsValue> {
        let mut widths = Vec::with_capacity(pieces.len());
        // Words of one look are aligned by the canvas itself; the room that several take, one after
        // the other, is only known once it is measured.
        let single = pieces.len() == 1;
        self.pen.set_text_align(match anchor {
            Anchor::Middle if single => "center",
            Anchor::End if single => "right",
            _ => "left",
        });
        if !single {
            for piece in pieces {
                self.set_font(piece);
                widths.push(self.pen.measure_text(piece.words)?.width());
            }
        }
        let whole: f64 = widths.iter().sum();
        let left = match anchor {
            Anchor::Start => px(at[0]),
            Anchor::Middle => px(at[0]) - whole / 2.0,
            Anchor::End => px(at[0]) - whole,
        };
        for under in [true, false] {
            let mut x = left;
            for (index, piece) in pieces.iter().enumerate() {
                self.set_font(piece);
                match (under, halo, piece.colour) {
                    (true, Some(halo), _) => {
                        self.pen.set_stroke_style_str(halo.colour.0);
                        self.pen.set_line_width(px(halo.width_mm));
                        self.pen.stroke_text(piece.words, x, px(at[1]))?;
                    }
                    (false, _, Some(colour)) => {
                        self.pen.set_fill_style_str(colour.0);
                        self.pen.fill_text(piece.words, x, px(at[1]))?;
                    }
                    _ => {}
                }
                x += widths.get(index).copied().unwrap_or_default();
            }
        }
        Ok(())
    }

    fn set_font(&self, piece: &Piece<'_>) {
        let weight = if piece.weight == Weight::Bold { 600 } else { 400 };
        self.pen.set_font(&format!("{weight} {:.2}px {FONT}", px(piece.size_mm)));
    }
}

/// Words of one size, weight and colour.
struct Piece<'a> {
    words: &'a str,
    size_mm: f64,
    weight: Weight,
    colour: Option<Colour>,
}

fn px(mm: f64) -> f64 {
    mm * PX_PER_MM
}

/// The box round an outline: left, top, right, bottom, mm.
fn extent(outline: &Outline) -> Option<[f64; 4]> {
    let around = |points: &mut dyn Iterator<Item = &Spot>| {
        points.fold([f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY], |[l, t, r, b], point| {
            [l.min(point[0]), t.min(point[1]), r.max(point[0]), b.max(point[1])]
        })
    };
    let extent = match outline {
        Outline::Rings(rings) => around(&mut rings.iter().flatten()),
        Outline::Circle { centre: [x, y], radius_mm: r } => [x - r, y - r, x + r, y + r],
        Outline::Line(_) | Outline::Words { .. } => return None,
    };
    extent.iter().all(|value| value.is_finite()).then_some(extent)
}
