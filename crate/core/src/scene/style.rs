//! Style tokens and what they look like: the one place where colours, line widths, hatches and
//! letter sizes stand.
//!
//! Line kinds follow the standards for technical drawings (ISO 128-2): wide continuous = what is
//! there, dashed = hidden inside, chain = axis, double-dotted chain = another position, narrow =
//! dimensions, leaders and hatches; wide to narrow is 2 to 1. Colours only tell things apart and
//! come from the colour-blind-safe set of Okabe and Ito (2008). Each meaning has a second sign (line
//! kind, hatch, sign or word); unknown is dotted, never a colour. Knows no shape and no output.

use crate::units::Angle;

/// A colour as `#rrggbb`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub &'static str);

/// Lines and words of the anatomy.
pub const INK: Colour = Colour("#1d2327");
/// Words of less weight; dark enough to read at the smallest size (6 to 1 on white).
pub const MUTED: Colour = Colour("#5b656d");
/// Lines of less weight.
pub const PALE: Colour = Colour("#8a949c");
/// Lines of the grid.
pub const FAINT: Colour = Colour("#d9dee2");
/// The ground.
pub const GROUND: Colour = Colour("#ffffff");
/// Graft.
pub const BLUE: Colour = Colour("#0072B2");
/// Keep clear; unmet.
pub const VERMILION: Colour = Colour("#D55E00");
/// Met.
pub const GREEN: Colour = Colour("#009E73");
/// Borderline.
pub const ORANGE: Colour = Colour("#E69F00");
/// Second graft; another possibility.
pub const PURPLE: Colour = Colour("#CC79A7");

/// For what the drawing is made: decides the size of the letters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Medium {
    /// A screen, at 96 dots per inch of the style sheet.
    #[default]
    Screen,
    /// Paper, read at arm's length: no letter under 11 points.
    Paper,
}

/// The four sizes of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TextSize {
    /// Notes.
    Small,
    /// Numbers and labels.
    Normal,
    /// Names.
    Large,
    /// Head lines.
    Title,
}

impl Medium {
    /// Height of the letters' body, mm of the drawing.
    pub fn text_mm(self, size: TextSize) -> f64 {
        let (pixels, points) = match size {
            TextSize::Small => (11.0, 11.0),
            TextSize::Normal => (13.0, 12.0),
            TextSize::Large => (15.0, 14.0),
            TextSize::Title => (20.0, 18.0),
        };
        match self {
            Medium::Screen => pixels * 25.4 / 96.0,
            Medium::Paper => points * 25.4 / 72.0,
        }
    }
}

/// The two weights of letters.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Weight {
    Regular,
    Bold,
}

/// Parallel lines that fill an area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hatch {
    /// Colour of the lines.
    pub colour: Colour,
    /// Direction of the lines, turned from the horizontal, anticlockwise as seen.
    pub angle: Angle,
    /// Distance between lines, mm of the drawing.
    pub step_mm: f64,
    /// Width of a line, mm of the drawing.
    pub width_mm: f64,
    /// Share of the colour that covers: hatches stay behind what lies on them.
    pub opacity: f64,
}

/// How something looks. Outputs read this and nothing else.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Look {
    /// Colour of lines; none draws none.
    pub stroke: Option<Colour>,
    /// Width of lines, mm of the drawing.
    pub width_mm: f64,
    /// Dashes and gaps, mm of the drawing; empty is continuous.
    pub dash_mm: &'static [f64],
    /// Colour of areas and words; none leaves areas empty.
    pub fill: Option<Colour>,
    /// Share of the fill's colour that covers what lies behind.
    pub fill_opacity: f64,
    /// Hatch laid over the fill.
    pub hatch: Option<Hatch>,
    /// Size of words.
    pub size: TextSize,
    /// Weight of words.
    pub weight: Weight,
}

/// Lines of hatches and of what only helps the eye, mm.
const FINE: f64 = 0.18;
/// Narrow lines, mm.
const NARROW: f64 = 0.25;
/// Lines between narrow and wide, for what is judged, mm.
const MIDDLE: f64 = 0.35;
/// Wide lines, mm.
const WIDE: f64 = 0.5;
/// Edges of the graft, mm.
const WIDEST: f64 = 0.7;

// Dashes in ISO 128-2 are counted in line widths: a dash 12, a long dash 24, a gap 3. The dots are a
// width long, twice the standard's, so that they hold on a screen.
const DASHED: &[f64] = &[3.0, 0.75];
const CHAIN: &[f64] = &[6.0, 0.75, 0.25, 0.75];
const DOUBLE_DOTTED: &[f64] = &[3.0, 0.75, 0.25, 0.75, 0.25, 0.75];
const DOTTED: &[f64] = &[0.5, 1.0];
/// Short dashes like stitches.
const STITCHED: &[f64] = &[1.4, 1.4];

/// Nothing drawn: what looks start from.
const BLANK: Look = Look {
    stroke: None,
    width_mm: 0.0,
    dash_mm: &[],
    fill: None,
    fill_opacity: 1.0,
    hatch: None,
    size: TextSize::Normal,
    weight: Weight::Regular,
};

const fn line(stroke: Colour, width_mm: f64) -> Look {
    Look { stroke: Some(stroke), width_mm, ..BLANK }
}

const fn dashed(stroke: Colour, width_mm: f64, dash_mm: &'static [f64]) -> Look {
    Look { stroke: Some(stroke), width_mm, dash_mm, ..BLANK }
}

const fn filled(look: Look, fill: Colour, fill_opacity: f64) -> Look {
    Look { fill: Some(fill), fill_opacity, ..look }
}

fn hatched(colour: Colour, opacity: f64, angle_deg: f64, step_mm: f64) -> Look {
    let hatch = Hatch { colour, angle: Angle::deg(angle_deg), step_mm, width_mm: FINE, opacity };
    Look { hatch: Some(hatch), ..BLANK }
}

const fn words(fill: Colour, size: TextSize, weight: Weight) -> Look {
    Look { fill: Some(fill), size, weight, ..BLANK }
}

macro_rules! tokens {
    ($($(#[doc = $doc:literal])* $name:ident = $text:literal: $look:expr,)*) => {
        /// What a drawn thing means; each output asks [`Token::look`] how it looks.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Token { $($(#[doc = $doc])* $name,)* }

        impl Token {
            /// Every token, in the order of the table.
            pub const ALL: &[Token] = &[$(Token::$name,)*];

            /// Its name in outputs.
            pub fn name(self) -> &'static str {
                match self { $(Token::$name => $text,)* }
            }

            /// How it looks.
            pub fn look(self) -> Look {
                use TextSize::{Large, Normal, Small, Title};
                use Weight::{Bold, Regular};
                match self { $(Token::$name => $look,)* }
            }
        }
    };
}

tokens! {
    /// The ground under the drawing.
    Ground = "ground": filled(BLANK, GROUND, 1.0),
    /// The frame: the two cuts at 6:00 and the ends of the data.
    Frame = "frame": line(INK, WIDE),
    /// Ticks of an axis.
    Tick = "tick": line(INK, NARROW),
    /// Lines of a grid.
    Grid = "grid": line(FAINT, NARROW),
    /// The outer curve.
    ChainAxis = "chain-axis": dashed(INK, NARROW, CHAIN),
    /// The lines of 3:00 and 9:00.
    SideLine = "side-line": line(FAINT, NARROW),
    /// Border of a landing zone.
    ZoneBorder = "zone-border": line(PALE, NARROW),
    /// Outline of an ostium.
    Ostium = "ostium": filled(line(INK, WIDE), GROUND, 1.0),
    /// What of an ostium is not known.
    OstiumUnknown = "ostium-unknown": dashed(INK, MIDDLE, DOTTED),
    /// Cross at a centre.
    CentreCross = "centre-cross": line(INK, NARROW),
    /// Line from a thing to its name.
    Leader = "leader": line(INK, NARROW),
    /// A point that fabric must not cover.
    KeepClear = "keep-clear": filled(line(VERMILION, WIDE), GROUND, 0.8),
    /// Where such a point is not known.
    KeepClearUnknown = "keep-clear-unknown": dashed(INK, MIDDLE, DOTTED),
    /// Wall that the inner side's fold hides.
    Fold = "fold": Look { fill: Some(GROUND), ..hatched(INK, 0.6, 90.0, 1.2) },
    /// Stretch where the data are less certain.
    Uncertain = "uncertain": hatched(PALE, 0.6, 0.0, 1.8),
    /// Values over the wall.
    WallScale = "wall-scale": filled(BLANK, INK, 0.45),
    /// How much shorter a length looks, by view.
    Foreshortened = "foreshortened": filled(BLANK, INK, 0.45),
    /// A named station.
    Landmark = "landmark": line(PALE, NARROW),
    /// Stretch to be treated.
    Lesion = "lesion": line(INK, WIDEST),
    /// Where wall and graft are sewn together.
    SutureLine = "suture-line": dashed(INK, MIDDLE, STITCHED),
    /// Where the flap meets the wall.
    Flap = "flap": line(INK, MIDDLE),
    /// The flap where it is cut.
    FlapCut = "flap-cut": dashed(VERMILION, WIDEST, DASHED),
    /// The wall's part that is the flap, with the false lumen behind it.
    FalseLumen = "false-lumen": hatched(INK, 0.35, 157.5, 3.0),
    /// A way in or out of the false lumen.
    Way = "way": filled(line(VERMILION, WIDE), GROUND, 1.0),
    /// A way whose place or size is not known.
    WayUnknown = "way-unknown": filled(dashed(INK, MIDDLE, DOTTED), GROUND, 1.0),
    /// Fabric that reaches the wall.
    Fabric = "fabric": hatched(BLUE, 0.6, 45.0, 1.9),
    /// Fabric that stands off the wall.
    FabricFree = "fabric-free": hatched(BLUE, 0.5, 45.0, 4.2),
    /// Fabric meant to seal.
    Seal = "seal": hatched(BLUE, 0.7, 135.0, 1.25),
    /// Fabric of a second graft.
    SecondFabric = "second-fabric": hatched(PURPLE, 0.8, 67.5, 1.9),
    /// Fabric of a second graft that stands off the wall.
    SecondFabricFree = "second-fabric-free": hatched(PURPLE, 0.7, 67.5, 4.2),
    /// Seal of a second graft.
    SecondSeal = "second-seal": hatched(PURPLE, 0.9, 112.5, 1.25),
    /// Border between sections of a graft.
    SectionBorder = "section-border": line(BLUE, NARROW),
    /// Border between sections of a second graft.
    SecondBorder = "second-border": line(PURPLE, NARROW),
    /// A stretch of graft without fabric.
    Bare = "bare": dashed(BLUE, NARROW, DASHED),
    /// Edge of the fabric.
    GraftEdge = "graft-edge": line(BLUE, WIDEST),
    /// Edge of a second graft's fabric.
    SecondEdge = "second-edge": line(PURPLE, WIDEST),
    /// The graft's reference line.
    ReferenceLine = "reference-line": dashed(BLUE, NARROW, CHAIN),
    /// The reference line of a second graft.
    SecondReference = "second-reference": dashed(PURPLE, NARROW, CHAIN),
    /// Mouth of a tunnel, opening of a fenestration or scallop.
    Mouth = "mouth": filled(line(BLUE, WIDE), GROUND, 1.0),
    /// A mouth whose size is not known.
    MouthUnknown = "mouth-unknown": filled(dashed(INK, WIDE, DOTTED), GROUND, 1.0),
    /// Body of a tunnel, inside the graft.
    TunnelBody = "tunnel-body": filled(dashed(BLUE, NARROW, DASHED), GROUND, 0.6),
    /// Bridging path from a mouth into its vessel.
    BridgingPath = "bridging-path": line(BLUE, MIDDLE),
    /// Direction of the blood.
    FlowArrow = "flow-arrow": line(BLUE, WIDE),
    /// A mark on the graft that the C-arm shows.
    GraftMark = "graft-mark": line(BLUE, NARROW),
    /// Another possibility.
    Ghost = "ghost": dashed(PURPLE, NARROW, DOUBLE_DOTTED),
    /// The grip that moves the graft.
    Handle = "handle": filled(line(GROUND, NARROW), BLUE, 1.0),
    /// The grip that moves a second graft.
    SecondHandle = "second-handle": filled(line(GROUND, NARROW), PURPLE, 1.0),
    /// Line from a measured point to its dimension line.
    Extension = "extension": line(INK, FINE),
    /// A dimension that no rule judges.
    Dimension = "dimension": filled(line(INK, NARROW), INK, 1.0),
    /// A dimension inside its limits.
    DimensionMet = "dimension-met": filled(line(GREEN, MIDDLE), GREEN, 1.0),
    /// A dimension inside its limits by less than the error.
    DimensionBorderline = "dimension-borderline": filled(line(ORANGE, MIDDLE), ORANGE, 1.0),
    /// A dimension outside its limits.
    DimensionUnmet = "dimension-unmet": filled(line(VERMILION, MIDDLE), VERMILION, 1.0),
    /// A dimension that is not known.
    DimensionUnknown = "dimension-unknown": filled(dashed(INK, MIDDLE, DOTTED), INK, 1.0),
    /// Diameter of the lumen.
    Lumen = "lumen": line(INK, MIDDLE),
    /// A diameter that is not for sizing.
    LumenInscribed = "lumen-inscribed": dashed(INK, NARROW, DASHED),
    /// From smallest to largest diameter.
    LumenBand = "lumen-band": filled(BLANK, INK, 0.14),
    /// A measured section.
    MeasuredSection = "measured-section": line(INK, NARROW),
    /// Diameter of the graft.
    GraftDiameter = "graft-diameter": line(BLUE, WIDEST),
    /// Diameter of a second graft.
    SecondDiameter = "second-diameter": line(PURPLE, WIDEST),
    /// Where every required rule holds.
    Room = "room": Look { stroke: Some(GREEN), width_mm: WIDE, ..hatched(GREEN, 0.45, 22.5, 2.4) },
    /// Where every required rule holds by at least its error.
    RoomSure = "room-sure": dashed(GREEN, NARROW, DASHED),
    /// Head line.
    Title = "title": words(INK, Title, Bold),
    /// Name of a thing.
    Name = "name": words(INK, Large, Bold),
    /// A number that counts.
    Number = "number": words(INK, Normal, Bold),
    /// A label.
    Label = "label": words(INK, Normal, Regular),
    /// A label of less weight.
    Muted = "muted": words(MUTED, Normal, Regular),
    /// A small label.
    Note = "note": words(INK, Small, Regular),
    /// A small label of more weight.
    Strong = "strong": words(INK, Small, Bold),
    /// A small label of less weight.
    MutedNote = "muted-note": words(MUTED, Small, Regular),
    /// Label of the graft.
    GraftLabel = "graft-label": words(BLUE, Normal, Bold),
    /// Small label of the graft.
    GraftNote = "graft-note": words(BLUE, Small, Regular),
    /// Name of a landing zone.
    ZoneLabel = "zone-label": words(MUTED, Small, Regular),
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of sRGB, as WCAG 2.1 defines it.
    fn luminance(colour: Colour) -> f64 {
        let channel = |from: usize| {
            let value = f64::from(u8::from_str_radix(&colour.0[from..from + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    }

    fn is_words(token: Token) -> bool {
        use Token::{GraftLabel, GraftNote, Label, Muted, MutedNote, Name, Note, Number, Strong, Title, ZoneLabel};
        matches!(
            token,
            Title | Name | Number | Label | Muted | Note | Strong | MutedNote | GraftLabel | GraftNote | ZoneLabel
        )
    }

    // WCAG 2.1, 1.4.3: 4.5 to 1 for words of usual size. Orange, green and vermilion fall short of
    // it, so verdicts colour lines and signs and leave the words in ink.
    #[test]
    fn words_can_be_read_on_the_ground() {
        for &token in Token::ALL.iter().filter(|token| is_words(**token)) {
            let fill = token.look().fill.unwrap();
            let contrast = 1.05 / (luminance(fill) + 0.05);
            assert!(contrast >= 4.5, "{}: {contrast:.1}", token.name());
        }
    }

    // ISO 128-2: no line narrower than 0.13 mm; the wide line is twice the narrow one.
    #[test]
    fn lines_follow_the_standard_s_widths() {
        for &token in Token::ALL {
            let look = token.look();
            if look.stroke.is_some() {
                assert!([FINE, NARROW, MIDDLE, WIDE, WIDEST].contains(&look.width_mm), "{}", token.name());
            }
            if let Some(hatch) = look.hatch {
                assert!(hatch.width_mm >= 0.13 && hatch.step_mm > 4.0 * hatch.width_mm, "{}", token.name());
            }
        }
        assert_eq!(Token::Ostium.look().width_mm, 2.0 * Token::Dimension.look().width_mm);
    }

    // What black and white print and a colour-blind eye still tell apart: no two meanings of a pair
    // differ by colour alone.
    #[test]
    fn unknown_is_dotted_and_never_a_colour() {
        for token in [
            Token::OstiumUnknown,
            Token::MouthUnknown,
            Token::KeepClearUnknown,
            Token::DimensionUnknown,
            Token::WayUnknown,
        ] {
            assert_eq!(token.look().dash_mm, DOTTED, "{}", token.name());
            assert_eq!(token.look().stroke, Some(INK), "{}", token.name());
        }
    }

    #[test]
    fn hatches_differ_by_direction_or_step() {
        let hatches: Vec<_> =
            Token::ALL.iter().filter_map(|token| token.look().hatch.map(|hatch| (token.name(), hatch))).collect();
        for (index, (one, a)) in hatches.iter().enumerate() {
            for (other, b) in &hatches[index + 1..] {
                let turn = ((a.angle - b.angle) * 2.0).wrapped().abs().to_deg() / 2.0;
                let steps = (a.step_mm / b.step_mm).max(b.step_mm / a.step_mm);
                assert!(turn >= 20.0 || steps >= 1.4, "{one} and {other} look alike without colour");
            }
        }
    }

    // The four sizes of the look: 11, 13, 15, 20 px on a screen, 11 pt or more on paper.
    #[test]
    fn letters_have_four_sizes() {
        use TextSize::{Large, Normal, Small, Title};
        let pixels = [Small, Normal, Large, Title].map(|size| (Medium::Screen.text_mm(size) * 96.0 / 25.4).round());
        assert_eq!(pixels, [11.0, 13.0, 15.0, 20.0]);
        for size in [Small, Normal, Large, Title] {
            assert!(Medium::Paper.text_mm(size) * 72.0 / 25.4 >= 10.999);
            assert!(Medium::Paper.text_mm(size) > Medium::Screen.text_mm(size));
        }
    }

    #[test]
    fn names_of_tokens_differ() {
        let mut names: Vec<_> = Token::ALL.iter().map(|token| token.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Token::ALL.len());
    }
}
