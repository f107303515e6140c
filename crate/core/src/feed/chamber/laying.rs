//! Cells with the layers between wall and fabrics, joined into a network; the widest way through it from
//! each source to each sink.

use super::ground::{Ground, Probe, Site, look};
use super::{Chamber, Passage, Piece, Place, Sink, Source};
use crate::anatomy::Anatomy;
use crate::graft::shape;
use crate::message;
use crate::network::{Network, Node, Width};
use crate::placement::space;
use crate::quantity::Unknown;
use crate::units::Angle;

/// The spaces of one cell, from the wall inward.
#[derive(Clone, Debug, Default)]
struct Layers {
    /// (piece, space to it), the outermost first.
    fabrics: Vec<(usize, f64)>,
}

impl Layers {
    /// Width of a layer; the last is the lumen.
    fn width(&self, layer: usize) -> f64 {
        let outer = layer.checked_sub(1).map_or(0.0, |k| self.fabrics[k].1);
        self.fabrics.get(layer).map_or(f64::INFINITY, |(_, mm)| mm - outer)
    }

    /// Whether a piece lies between the wall and a layer; `None` where it is not there at all.
    fn outside(&self, piece: usize, layer: usize) -> Option<bool> {
        self.fabrics.iter().position(|(own, _)| *own == piece).map(|k| k < layer)
    }

    /// Layer just outside a piece.
    fn outside_of(&self, piece: usize) -> usize {
        self.fabrics.iter().position(|(own, _)| *own == piece).unwrap_or(0)
    }
}

/// Cells with their layers, being joined.
pub(super) struct Laying<'a> {
    ground: &'a Ground,
    anatomy: &'a Anatomy,
    pieces: &'a [Piece<'a>],
    covered: Vec<Vec<(f64, f64)>>,
    layers: Vec<Layers>,
    network: Network,
    /// First node of each cell; its layers follow one another.
    first: Vec<Node>,
    /// Node of each row's lumen, and its stretch; none where that is a carrier's inside.
    lumen: Vec<(Node, Option<usize>)>,
    lumens: usize,
}

impl<'a> Laying<'a> {
    pub(super) fn new(ground: &'a Ground, anatomy: &'a Anatomy, pieces: &'a [Piece<'a>]) -> Result<Self, Unknown> {
        let covered = pieces.iter().map(|piece| shape::covered(piece.graft)).collect();
        let mut laying = Laying {
            ground,
            anatomy,
            pieces,
            covered,
            layers: Vec::new(),
            network: Network::new(),
            first: Vec::new(),
            lumen: Vec::new(),
            lumens: 1,
        };
        laying.layers = ground.cells.iter().map(|probe| laying.layers_at(probe)).collect::<Result<_, Unknown>>()?;
        laying.nodes().ok_or(Unknown::because(message::TOO_MANY_GRAFTS))?;
        laying.joints();
        Ok(laying)
    }

    /// Space to one piece at a probe; `None` where its fabric is not over it.
    fn space(&self, probe: &Probe, piece: usize) -> Result<Option<f64>, Unknown> {
        let (Some(seen), own) = (probe.0.get(piece).copied().flatten(), &self.pieces[piece]) else { return Ok(None) };
        if !self.covered[piece].iter().any(|(from, to)| seen.u_mm >= *from && seen.u_mm <= *to) {
            return Ok(None);
        }
        let section = shape::section_at(own.graft, seen.u_mm).ok_or_else(|| Unknown::because(message::NO_SECTION))?;
        let on_graft = seen.on_graft - own.turned;
        let open = shape::fabric_mm(section, seen.u_mm, on_graft);
        let fabric = if seen.u_mm <= own.open_to_mm {
            open
        } else {
            own.held_mm.ok_or_else(|| Unknown::because(message::HELD_TO_UNKNOWN))?.min(open)
        };
        Ok(Some((seen.distance_mm - fabric).max(0.0)))
    }

    fn layers_at(&self, probe: &Probe) -> Result<Layers, Unknown> {
        let mut fabrics = Vec::new();
        for piece in 0..self.pieces.len() {
            if let Some(mm) = self.space(probe, piece)? {
                fabrics.push((piece, mm));
            }
        }
        fabrics.sort_by(|a, b| a.1.total_cmp(&b.1));
        Ok(Layers { fabrics })
    }

    /// Whether a row lies in a piece that is still in its carrier.
    fn carried(&self, row: usize) -> bool {
        let station_mm = self.ground.rows_mm[row];
        let within = |piece: &Piece<'_>| piece.lie.u_mm(station_mm).is_some_and(|u| u > piece.open_to_mm);
        self.pieces.iter().any(|piece| piece.carried && within(piece))
    }

    fn nodes(&mut self) -> Option<()> {
        let mut stretch = 0;
        for row in 0..self.ground.rows_mm.len() {
            let node = self.network.node("")?;
            let before = row.checked_sub(1).map(|before| self.lumen[before]);
            let own = match (self.carried(row), before) {
                (true, _) => None,
                (false, Some((before, Some(_)))) => {
                    self.network.join(before, node, Width::Open, "")?;
                    Some(stretch)
                }
                (false, Some((_, None))) => {
                    stretch += 1;
                    Some(stretch)
                }
                (false, None) => Some(stretch),
            };
            self.lumen.push((node, own));
        }
        self.lumens = stretch + 1;
        for layers in &self.layers {
            self.first.push(self.network.node("")?);
            for _ in 1..layers.fabrics.len() {
                self.network.node("")?;
            }
        }
        Some(())
    }

    /// Node of a cell's layer; the innermost is its row's lumen.
    fn node(&self, cell: usize, layer: usize) -> Node {
        match layer < self.layers[cell].fabrics.len() {
            true => self.first[cell] + layer,
            false => self.lumen[cell / self.ground.around].0,
        }
    }

    fn width(&self, mm: f64) -> Width {
        if mm.is_finite() { Width::Mm { mm, error_mm: self.ground.error_mm } } else { Width::Open }
    }

    fn joints(&mut self) {
        let (rows, around) = (self.ground.rows_mm.len(), self.ground.around);
        for row in 0..rows {
            for column in 0..around {
                let here = self.ground.cell(row, column);
                self.join(here, self.ground.cell(row, column + 1));
                if row + 1 < rows {
                    self.join(here, self.ground.cell(row + 1, column));
                }
            }
        }
    }

    /// Joins two neighbouring cells in every layer that no fabric of both parts.
    fn join(&mut self, a: usize, b: usize) {
        for i in 0..=self.layers[a].fabrics.len() {
            for j in 0..=self.layers[b].fabrics.len() {
                let (la, lb) = (&self.layers[a], &self.layers[b]);
                let lumens = i == la.fabrics.len() && j == lb.fabrics.len();
                let parted = la.fabrics.iter().any(|(piece, _)| {
                    let (here, there) = (la.outside(*piece, i), lb.outside(*piece, j));
                    there.is_some() && here != there
                });
                if lumens || parted {
                    continue;
                }
                let mm = la.width(i).min(lb.width(j));
                let (from, to, width) = (self.node(a, i), self.node(b, j), self.width(mm));
                self.network.join(from, to, width, "");
            }
        }
    }

    /// Adds a source or a sink at a place just outside a piece; `most` is its own width.
    fn attach(&mut self, node: Node, place: &Place, piece: Option<usize>, most: &Width, outward: bool) {
        let mut cells = self.ground.cells_at(place).to_vec();
        cells.dedup();
        for cell in cells {
            let layer = piece.map_or(0, |piece| self.layers[cell].outside_of(piece));
            let mm = self.layers[cell].width(layer);
            let width = match most {
                Width::Mm { mm: own, .. } if *own <= mm => most.clone(),
                Width::Unknown(_) => most.clone(),
                _ => self.width(mm),
            };
            let at = self.node(cell, layer);
            let (from, to) = if outward { (node, at) } else { (at, node) };
            self.network.lead(from, to, width, "");
        }
    }

    pub(super) fn passages(mut self) -> Result<Chamber, Unknown> {
        let full = || Unknown::because(message::TOO_MANY_GRAFTS);
        let mut sources: Vec<(Source, Node)> = Vec::new();
        for (node, stretch) in self.lumen.clone() {
            let Some(stretch) = stretch else { continue };
            if !sources.iter().any(|(s, _)| *s == Source::Lumen(stretch)) {
                sources.push((Source::Lumen(stretch), node));
            }
        }
        let mut passages = Vec::new();
        for k in 0..self.pieces.len() {
            let piece = self.pieces[k].clone();
            let lie = piece.lie.turned_by(piece.turned);
            for tunnel in piece.graft.tunnels.iter().filter(|t| t.mouth_u_mm <= piece.open_to_mm || !piece.carried) {
                let at =
                    lie.fabric(piece.graft, tunnel.mouth_u_mm, Angle::deg(tunnel.mouth_clock_deg), self.anatomy)?;
                let place = Place { station_mm: at.station_mm, clock: at.clock };
                let size = tunnel.mouth_along_mm.zip(tunnel.mouth_across_mm).map(|(a, b)| a.min(b));
                let size = match (size, tunnel.diameter_mm) {
                    (Some(a), Some(b)) => Some(a.min(b)),
                    (a, b) => a.or(b),
                };
                // At the mouth itself, not at the cells beside it.
                let over = self.anatomy.wall()?.point(place.station_mm, place.clock)?;
                let over = self.layers_at(&look(self.pieces, &over, place.station_mm)?)?;
                let room = over.width(over.outside_of(k));
                let own = match size {
                    None => Width::Unknown(message::NO_MOUTH_SIZE.into()),
                    Some(mm) if mm <= room => Width::Mm { mm, error_mm: 0.0 },
                    Some(_) => self.width(room),
                };
                let node = self.network.node("").ok_or_else(full)?;
                self.attach(node, &place, Some(k), &own, true);
                let stretch = self.stretch_at(place.station_mm);
                sources.push((Source::Mouth(tunnel.id.clone(), stretch), node));
            }
            for hole in space::holes(piece.graft) {
                let node = self.network.node("").ok_or_else(full)?;
                let mut stretch = None;
                for cell in 0..self.layers.len() {
                    let Some(seen) = self.ground.cells[cell].0[k] else { continue };
                    let over = (seen.u_mm, seen.on_graft - piece.turned);
                    if seen.u_mm <= piece.open_to_mm && hole.contains(piece.graft, over.0, over.1) {
                        let layer = self.layers[cell].outside_of(k);
                        let to = self.node(cell, layer);
                        self.network.lead(node, to, self.width(self.layers[cell].width(layer)), "");
                        stretch = stretch.or(self.lumen[cell / self.ground.around].1);
                    }
                }
                sources.push((Source::Opening(hole.id.to_owned(), stretch.unwrap_or(0)), node));
            }
        }
        let mut sinks: Vec<(Sink, Node)> = Vec::new();
        for site in &self.ground.sites {
            match site {
                Ok(site) => {
                    let node = self.network.node("").ok_or_else(full)?;
                    let layers = self.layers_at(&site.centre)?;
                    if !layers.fabrics.is_empty() {
                        let centre = self.width(layers.width(0));
                        let place = Place { station_mm: site.station_mm, clock: site.clock };
                        self.attach(node, &place, None, &centre, false);
                    }
                    self.straight(site, &mut passages)?;
                    sinks.push((Sink::Site(site.id.clone()), node));
                }
                Err((id, why)) => passages.push(Passage {
                    from: Source::Lumen(0),
                    to: Sink::Site(id.clone()),
                    width: Width::Unknown(why.clone()),
                    at: None,
                    by_space: false,
                }),
            }
        }
        // The lumen's stretches are sinks too, where there is more than one.
        let stretches = sources.iter().filter_map(|(source, node)| match source {
            Source::Lumen(k) if self.lumens > 1 => Some((Sink::Lumen(*k), *node)),
            _ => None,
        });
        sinks.extend(stretches.collect::<Vec<_>>());
        for (source, from) in &sources {
            // Lumen that is reached through the space is a way of its own.
            let (sure, may) = (self.network.surely(&[*from]), self.network.perhaps(&[*from]));
            for (sink, to) in &sinks {
                if from == to {
                    continue;
                }
                let Some(way) = self.network.way(&may, *to) else { continue };
                let known = sure.width_mm(*to) == may.width_mm(*to);
                let unknown = way.edges.iter().find_map(|edge| match self.network.width(*edge) {
                    Some(Width::Unknown(why)) => Some(why.clone()),
                    _ => None,
                });
                let at = way.narrowest.and_then(|edge| self.place_of(edge, site_place(self.ground, sink)));
                let width = match unknown {
                    Some(why) if !known => Width::Unknown(why),
                    _ if way.mm.is_finite() => Width::Mm { mm: way.mm, error_mm: way.error_mm },
                    _ => Width::Open,
                };
                passages.push(Passage { from: source.clone(), to: sink.clone(), width, at, by_space: true });
            }
        }
        let sources = sources.into_iter().map(|(source, _)| source).collect();
        Ok(Chamber { sources, passages, lumens: self.lumens })
    }

    /// What of a site lies straight under the lumen or under an opening: its uncovered share times its
    /// shorter diameter. Where fabric covers some of it, that is no surer than the site's place.
    fn straight(&self, site: &Site, passages: &mut Vec<Passage>) -> Result<(), Unknown> {
        let stretch = self.stretch_at(site.station_mm);
        let mut free = 0.0;
        let mut holes: Vec<(String, f64)> = Vec::new();
        let whole = [(1.0, site.centre.clone())];
        let spots = if site.spots.is_empty() { &whole[..] } else { &site.spots[..] };
        for (share, probe) in spots {
            match self.over(probe)? {
                Over::Nothing => free += share,
                Over::Hole(id) => match holes.iter_mut().find(|(own, _)| *own == id) {
                    Some(hole) => hole.1 += share,
                    None => holes.push((id, *share)),
                },
                Over::Fabric => {}
            }
        }
        let place = Place { station_mm: site.station_mm, clock: site.clock };
        let width = |share: f64| match site.across_mm {
            _ if share > 1.0 - 1e-9 => Width::Open,
            Some(mm) => Width::Mm { mm: share * mm, error_mm: site.off_mm },
            None => Width::Unknown(message::NO_SIZE.into()),
        };
        let to = Sink::Site(site.id.clone());
        let mut add = |from: Source, share: f64| {
            let at = (share < 1.0 - 1e-9).then_some(place);
            passages.push(Passage { from, to: to.clone(), width: width(share), at, by_space: false });
        };
        if free > 1e-9 {
            add(Source::Lumen(stretch), free);
        }
        holes.into_iter().for_each(|(id, share)| add(Source::Opening(id, stretch), share));
        Ok(())
    }

    /// The stretch of lumen at a station; beside a carrier the one upstream of it.
    fn stretch_at(&self, station_mm: f64) -> usize {
        let rows = &self.ground.rows_mm;
        if station_mm > rows[rows.len() - 1] {
            return self.lumens - 1;
        }
        let upstream = self.lumen[..=self.ground.row_at(station_mm)].iter().rev();
        upstream.filter_map(|(_, stretch)| *stretch).next().unwrap_or(0)
    }

    fn over(&self, probe: &Probe) -> Result<Over, Unknown> {
        let mut over = Over::Nothing;
        for (k, piece) in self.pieces.iter().enumerate() {
            if self.space(probe, k)?.is_none() {
                continue;
            }
            let Some(seen) = probe.0[k] else { continue };
            let hole = space::holes(piece.graft).find(|h| {
                seen.u_mm <= piece.open_to_mm && h.contains(piece.graft, seen.u_mm, seen.on_graft - piece.turned)
            });
            match (hole, over) {
                (Some(hole), Over::Nothing) => over = Over::Hole(hole.id.to_owned()),
                _ => return Ok(Over::Fabric),
            }
        }
        Ok(over)
    }

    /// Where a joint is narrow: at its narrower cell, or at the site that it leads to.
    fn place_of(&self, edge: usize, site: Option<Place>) -> Option<Place> {
        let (a, b) = self.network.ends(edge)?;
        let mm = match self.network.width(edge)? {
            Width::Mm { mm, .. } => *mm,
            Width::Open | Width::Unknown(_) => return None,
        };
        // Cells' first nodes grow with the cell.
        let cell = |node: Node| {
            let cell = self.first.partition_point(|first| *first <= node).checked_sub(1)?;
            (node - self.first[cell] < self.layers[cell].fabrics.len()).then_some(cell)
        };
        let narrow = |node: Node| {
            let cell = cell(node)?;
            (self.layers[cell].width(node - self.first[cell]) <= mm).then(|| self.ground.place(cell))
        };
        narrow(a).or_else(|| narrow(b)).or(site).or_else(|| cell(a).or_else(|| cell(b)).map(|c| self.ground.place(c)))
    }
}

/// What lies over a wall point.
enum Over {
    Nothing,
    Hole(String),
    Fabric,
}

fn site_place(ground: &Ground, sink: &Sink) -> Option<Place> {
    let Sink::Site(id) = sink else { return None };
    let site = ground.sites.iter().flatten().find(|site| site.id == *id)?;
    Some(Place { station_mm: site.station_mm, clock: site.clock })
}
