//! Scenes as pages of a PDF: the same lines, hatches and words that every other output draws.
//!
//! Words are set in the standard fonts Helvetica and Helvetica-Bold, and in Symbol what those have not
//! (≈ → and the Greek letters), so nothing is embedded and widths are those that the sheets
//! were laid out with. A page is as large as its scene and asks not to be scaled. No day, no id: the
//! same scenes give the same bytes.

use extrados::scene::helvetica;
use extrados::scene::ink::{Fill, Ink, Outline, Stroke, inks};
use extrados::scene::style::{Colour, Token, Weight};
use extrados::scene::{Anchor, Scene, Spot};
use miniz_oxide::deflate::compress_to_vec_zlib;
use pdf_writer::types::{LineJoinStyle, TextRenderingMode};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};

/// Points of a PDF in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// Effort of the compression.
const EFFORT: u8 = 9;
/// Most lines of one hatch: no area on a page has as many.
const MOST_LINES: f64 = 5000.0;

/// The standard fonts that are used, with their names in a page's resources.
const FONTS: [(&[u8], &[u8]); 3] = [(b"R", b"Helvetica"), (b"B", b"Helvetica-Bold"), (b"S", b"Symbol")];

/// Shares of cover that occur, in hundredths: a graphics state each.
#[derive(Default)]
struct Covers(Vec<u8>);

/// The pages as the bytes of a PDF.
pub fn pdf(scenes: &[Scene], title: &str) -> Vec<u8> {
    let mut pdf = Pdf::new();
    let mut next = 1;
    let mut reference = || {
        next += 1;
        Ref::new(next - 1)
    };
    let (catalog, tree, info) = (reference(), reference(), reference());
    let fonts = FONTS.map(|(name, base)| (name, base, reference()));
    let mut covers = Covers::default();
    let contents: Vec<Vec<u8>> = scenes.iter().map(|scene| content(scene, &mut covers)).collect();
    let states: Vec<(u8, Ref)> = covers.0.iter().map(|cover| (*cover, reference())).collect();
    let pages: Vec<(Ref, Ref)> = scenes.iter().map(|_| (reference(), reference())).collect();

    let mut root = pdf.catalog(catalog);
    root.pages(tree);
    root.lang(TextStr("en"));
    let mut prefers = root.viewer_preferences();
    prefers.pair(Name(b"PrintScaling"), Name(b"None"));
    prefers.finish();
    root.finish();
    pdf.document_info(info).title(TextStr(title)).creator(TextStr("extrados"));
    pdf.pages(tree).kids(pages.iter().map(|(page, _)| *page)).count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    for (_, base, font) in fonts {
        let mut font = pdf.type1_font(font);
        font.base_font(Name(base));
        if base != b"Symbol" {
            let mut encoding = font.encoding_custom();
            encoding.base_encoding(Name(b"WinAnsiEncoding"));
            let mut differences = encoding.differences();
            for (_, code, name) in BESIDES {
                differences.consecutive(code, [Name(name)]);
            }
        }
    }
    for (cover, state) in &states {
        let share = f32::from(*cover) / 100.0;
        pdf.ext_graphics(*state).non_stroking_alpha(share).stroking_alpha(share);
    }
    for ((scene, (page, own)), content) in scenes.iter().zip(&pages).zip(&contents) {
        let mut page = pdf.page(*page);
        let [width, height] = [scene.width_mm, scene.height_mm].map(|mm| (mm * POINTS_PER_MM) as f32);
        page.media_box(Rect::new(0.0, 0.0, width, height));
        page.parent(tree);
        page.contents(*own);
        let mut resources = page.resources();
        let mut named = resources.fonts();
        for (name, _, font) in fonts {
            named.pair(Name(name), font);
        }
        named.finish();
        let mut named = resources.ext_g_states();
        for (cover, state) in &states {
            named.pair(Name(state_name(*cover).as_bytes()), *state);
        }
        named.finish();
        resources.finish();
        page.finish();
        pdf.stream(*own, &compress_to_vec_zlib(content, EFFORT)).filter(Filter::FlateDecode);
    }
    pdf.finish()
}

fn state_name(cover: u8) -> String {
    format!("G{cover}")
}

/// What one page draws, in mm with y down as scenes have it.
fn content(scene: &Scene, covers: &mut Covers) -> Vec<u8> {
    let mut page = Content::new();
    let k = POINTS_PER_MM as f32;
    page.transform([k, 0.0, 0.0, -k, 0.0, k * scene.height_mm as f32]);
    page.set_line_join(LineJoinStyle::RoundJoin);
    for item in &scene.items {
        for ink in inks(item, scene.medium) {
            draw(&mut page, &ink, covers);
        }
    }
    page.finish().into_vec()
}

fn draw(page: &mut Content, ink: &Ink, covers: &mut Covers) {
    if let Outline::Words { at, words, then, anchor, size_mm, weight } = &ink.outline {
        let mut parts = vec![(words.as_str(), *size_mm, *weight, ink.fill)];
        if let Some(then) = then {
            let fill = then.colour.map(|colour| Fill::Flat(colour, 1.0)).or(ink.fill);
            parts.push((then.words.as_str(), then.size_mm, then.weight, fill));
        }
        let wide: f64 = parts.iter().map(|(words, size, weight, _)| width_mm(words, *size, *weight)).sum();
        let left = match anchor {
            Anchor::Start => at[0],
            Anchor::Middle => at[0] - wide / 2.0,
            Anchor::End => at[0] - wide,
        };
        if let Some(halo) = ink.stroke {
            page.set_text_rendering_mode(TextRenderingMode::Stroke);
            pen(page, &halo);
            set(page, &parts, [left, at[1]], false);
            page.set_text_rendering_mode(TextRenderingMode::Fill);
        }
        set(page, &parts, [left, at[1]], true);
        return;
    }
    if !trace(page, &ink.outline, true) {
        return;
    }
    page.end_path();
    match ink.fill {
        Some(Fill::Flat(colour, share)) => {
            page.save_state();
            cover(page, share, covers);
            fill(page, colour);
            trace(page, &ink.outline, false);
            page.fill_even_odd();
            page.restore_state();
        }
        Some(Fill::Hatch(token)) => hatch(page, &ink.outline, token, covers),
        None => {}
    }
    if let Some(stroke) = &ink.stroke {
        pen(page, stroke);
        trace(page, &ink.outline, false);
        page.stroke();
    }
}

/// Traces an outline; says whether there is anything.
fn trace(page: &mut Content, outline: &Outline, only_ask: bool) -> bool {
    let finite = |points: &[Spot]| points.iter().flatten().all(|value| value.is_finite());
    let mut lines = |points: &[Spot], closed: bool| {
        for (index, [x, y]) in points.iter().enumerate() {
            if index == 0 {
                page.move_to(*x as f32, *y as f32)
            } else {
                page.line_to(*x as f32, *y as f32)
            };
        }
        if closed && !points.is_empty() {
            page.close_path();
        }
    };
    match outline {
        Outline::Line(points) => {
            let some = points.len() > 1 && finite(points);
            if some && !only_ask {
                lines(points, false);
            }
            some
        }
        Outline::Rings(rings) => {
            let some = rings.iter().any(|ring| ring.len() > 1) && rings.iter().all(|ring| finite(ring));
            if some && !only_ask {
                rings.iter().for_each(|ring| lines(ring, true));
            }
            some
        }
        Outline::Circle { centre, radius_mm } => {
            let some = finite(&[*centre, [*radius_mm, 0.0]]) && *radius_mm > 0.0;
            if some && !only_ask {
                circle(page, *centre, *radius_mm);
            }
            some
        }
        Outline::Words { .. } => false,
    }
}

/// Four cubics, off a circle by less than 3 in 10 000 of its radius.
fn circle(page: &mut Content, [x, y]: Spot, r: f64) {
    let k = r * 0.552_284_75;
    let at = |dx: f64, dy: f64| [(x + dx) as f32, (y + dy) as f32];
    let [sx, sy] = at(r, 0.0);
    page.move_to(sx, sy);
    for [a, b, end] in [
        [at(r, k), at(k, r), at(0.0, r)],
        [at(-k, r), at(-r, k), at(-r, 0.0)],
        [at(-r, -k), at(-k, -r), at(0.0, -r)],
        [at(k, -r), at(r, -k), at(r, 0.0)],
    ] {
        page.cubic_to(a[0], a[1], b[0], b[1], end[0], end[1]);
    }
    page.close_path();
}

/// Parallel lines clipped to an outline, where the hatch of every other output lies.
fn hatch(page: &mut Content, outline: &Outline, token: Token, covers: &mut Covers) {
    let Some(hatch) = token.look().hatch else { return };
    let points: Vec<Spot> = match outline {
        Outline::Line(points) => points.clone(),
        Outline::Rings(rings) => rings.concat(),
        Outline::Circle { centre: [x, y], radius_mm: r } => {
            vec![[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]]
        }
        Outline::Words { .. } => return,
    };
    let (sin, cos) = (-hatch.angle.to_rad()).sin_cos();
    // In the hatch's own axes its lines lie level.
    let turned = points.iter().map(|[x, y]| [x * cos + y * sin, y * cos - x * sin]);
    let far = [f64::INFINITY, f64::NEG_INFINITY];
    let [across, down] =
        turned.fold([far, far], |[[x0, x1], [y0, y1]], [x, y]| [[x0.min(x), x1.max(x)], [y0.min(y), y1.max(y)]]);
    let rows = [down[0], down[1]].map(|y| (y / hatch.step_mm - 0.5).floor());
    if rows[1] - rows[0] > MOST_LINES {
        return;
    }
    page.save_state();
    trace(page, outline, false);
    page.clip_even_odd();
    page.end_path();
    cover(page, hatch.opacity, covers);
    pen(page, &Stroke { colour: hatch.colour, width_mm: hatch.width_mm, dash_mm: &[] });
    for row in 0..=(rows[1] - rows[0]) as usize + 1 {
        let y = (rows[0] + row as f64 + 0.5) * hatch.step_mm;
        let [from, to] = across.map(|x| [(x * cos - y * sin) as f32, (x * sin + y * cos) as f32]);
        page.move_to(from[0], from[1]);
        page.line_to(to[0], to[1]);
    }
    page.stroke();
    page.restore_state();
}

/// Sets the share by which what follows covers.
fn cover(page: &mut Content, share: f64, covers: &mut Covers) {
    let hundredths = (share.clamp(0.0, 1.0) * 100.0).round() as u8;
    if hundredths == 100 {
        return;
    }
    if !covers.0.contains(&hundredths) {
        covers.0.push(hundredths);
    }
    page.set_parameters(Name(state_name(hundredths).as_bytes()));
}

fn pen(page: &mut Content, stroke: &Stroke) {
    let [r, g, b] = rgb(stroke.colour);
    page.set_stroke_rgb(r, g, b);
    page.set_line_width(stroke.width_mm as f32);
    page.set_dash_pattern(stroke.dash_mm.iter().map(|mm| *mm as f32), 0.0);
}

fn fill(page: &mut Content, colour: Colour) {
    let [r, g, b] = rgb(colour);
    page.set_fill_rgb(r, g, b);
}

/// `#rrggbb` in shares.
fn rgb(colour: Colour) -> [f32; 3] {
    [1, 3, 5].map(|at| {
        let part = colour.0.get(at..at + 2).and_then(|part| u8::from_str_radix(part, 16).ok());
        f32::from(part.unwrap_or_default()) / 255.0
    })
}

/// Words after each other on a base line.
fn set(page: &mut Content, parts: &[(&str, f64, Weight, Option<Fill>)], at: Spot, filled: bool) {
    let mut x = at[0];
    page.begin_text();
    for (words, size_mm, weight, own) in parts {
        if filled && let Some(Fill::Flat(colour, _)) = own {
            fill(page, *colour);
        }
        for run in runs(words, *weight) {
            page.set_font(Name(run.font), *size_mm as f32);
            // Letters stand upright although y runs down.
            page.set_text_matrix([1.0, 0.0, 0.0, -1.0, (x + run.inset * size_mm) as f32, at[1] as f32]);
            page.show(Str(&run.letters));
            x += run.wide * size_mm;
        }
    }
    page.end_text();
}

fn width_mm(words: &str, size_mm: f64, weight: Weight) -> f64 {
    helvetica::ems(words, weight) * size_mm
}

/// Letters of one font.
struct Run {
    font: &'static [u8],
    letters: Vec<u8>,
    /// Room they take, in sizes.
    wide: f64,
    /// How far into their room they begin, in sizes.
    inset: f64,
}

/// Words as letters of one font after another. A sign of the Symbol font stands in the middle of the
/// room that the sheets were laid out with.
fn runs(words: &str, weight: Weight) -> Vec<Run> {
    let own = if weight == Weight::Bold { FONTS[1].0 } else { FONTS[0].0 };
    let mut runs: Vec<Run> = Vec::new();
    for letter in words.chars() {
        let wide = f64::from(helvetica::thousandths(letter, weight)) / 1000.0;
        match (symbol(letter), runs.last_mut()) {
            (Some((code, thousandths)), _) => {
                let inset = (wide - f64::from(thousandths) / 1000.0) / 2.0;
                runs.push(Run { font: FONTS[2].0, letters: vec![code], wide, inset });
            }
            (None, Some(last)) if last.font == own => {
                last.letters.push(win_ansi(letter));
                last.wide += wide;
            }
            (None, _) => runs.push(Run { font: own, letters: vec![win_ansi(letter)], wide, inset: 0.0 }),
        }
    }
    runs
}

/// Code and width in the Symbol font of what Helvetica has not (PDF 1.7, annex D.5; Symbol's AFM).
fn symbol(letter: char) -> Option<(u8, u16)> {
    Some(match letter {
        '≈' => (0xBB, 549),
        '→' => (0xAE, 987),
        '←' => (0xAC, 987),
        'κ' => (0x6B, 549),
        'λ' => (0x6C, 549),
        'φ' => (0x6A, 603),
        'θ' => (0x71, 521),
        'Δ' => (0x44, 612),
        _ => return None,
    })
}

/// Signs that Helvetica has and WinAnsiEncoding has not, at codes which that leaves free. A reader without
/// the Symbol font would set them too wide, over the digits of a negative number.
const BESIDES: [(char, u8, &[u8]); 3] =
    [('−', 0x81, b"minus"), ('≤', 0x8D, b"lessequal"), ('≥', 0x8F, b"greaterequal")];

/// Code in WinAnsiEncoding (PDF 1.7, annex D.2) with [`BESIDES`]; a letter that it has not becomes a question
/// mark.
fn win_ansi(letter: char) -> u8 {
    const HIGH: [(char, u8); 17] = [
        ('€', 0x80),
        ('…', 0x85),
        ('Š', 0x8A),
        ('Œ', 0x8C),
        ('Ž', 0x8E),
        ('‘', 0x91),
        ('’', 0x92),
        ('“', 0x93),
        ('”', 0x94),
        ('•', 0x95),
        ('–', 0x96),
        ('—', 0x97),
        ('™', 0x99),
        ('š', 0x9A),
        ('œ', 0x9C),
        ('ž', 0x9E),
        ('Ÿ', 0x9F),
    ];
    match letter {
        ' '..='~' | '¡'..='ÿ' => letter as u8,
        // A space that does not break is a space.
        '\u{a0}' => b' ',
        _ => {
            let besides = BESIDES.iter().map(|(own, code, _)| (*own, *code));
            HIGH.into_iter().chain(besides).find(|(own, _)| *own == letter).map_or(b'?', |(_, code)| code)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_those_of_their_font() {
        let all = runs("−4.5 mm ± 2° → Å", Weight::Bold);
        let fonts: Vec<&[u8]> = all.iter().map(|run| run.font).collect();
        assert_eq!(fonts, [b"B", b"S", b"B"]);
        assert_eq!(all[0].letters, b"\x814.5 mm \xB1 2\xB0 ");
        assert_eq!(all[2].letters, b" \xC5");
        assert_eq!(win_ansi('漢'), b'?');
    }

    #[test]
    fn colours_are_shares_of_one() {
        assert_eq!(rgb(Colour("#ff0033")), [1.0, 0.0, 0.2]);
    }
}
