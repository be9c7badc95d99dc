//! Pictures of invented devices on a sheet, drawn from scenes whose every length is known: a pinhole that bends, dims to the
//! corners and tilts, light that is not even, soft shadows, knobs, switches, lamps, printing, jacks with nut and bright rim,
//! tables of many kinds, blur of focus and of the hand, noise.

use photo::{Paper, Picture};

/// Random numbers from a seed (SplitMix64, Steele, Lea and Flood 2014, from memory).
pub(crate) struct Lot(pub(crate) u64);

impl Lot {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    #[expect(clippy::cast_precision_loss, reason = "53 bits are meant")]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn within(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub(crate) fn one_of<T: Copy>(&mut self, of: &[T]) -> T {
        of[usize::try_from(self.next() % of.len() as u64).expect("small")]
    }

    /// About normal: twelve even ones (Irwin and Hall).
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// A count as a number.
#[expect(clippy::cast_precision_loss, reason = "counts of pixels")]
pub(crate) fn real(count: usize) -> f64 {
    count as f64
}

type V = [f64; 3];

fn add(a: V, b: V) -> V {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}
fn scaled(a: V, s: f64) -> V {
    a.map(|v| v * s)
}
fn sub(a: V, b: V) -> V {
    add(a, scaled(b, -1.0))
}
fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn norm(a: V) -> f64 {
    dot(a, a).sqrt()
}
fn unit(a: V) -> V {
    scaled(a, 1.0 / norm(a))
}
fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// A cylinder in the device's frame.
#[derive(Clone)]
pub(crate) struct Round {
    pub(crate) axis: usize,
    pub(crate) middle: V,
    pub(crate) half: f64,
    pub(crate) radius: f64,
    pub(crate) colour: V,
    pub(crate) shine: f64,
    /// Radius of a dark hole in its ends.
    pub(crate) hole: f64,
    /// Whether it gives light of its own.
    lamp: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Side {
    Front,
    Right,
    Back,
    Left,
}

/// A jack: its side, its middle along the side as the document counts (from the front or from the left), its height.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Jack {
    pub(crate) side: Side,
    pub(crate) along: f64,
    pub(crate) high: f64,
}

#[derive(Clone)]
pub(crate) struct Scene {
    pub(crate) paper: Paper,
    /// As the sheet lies.
    pub(crate) sheet: [f64; 2],
    /// Width, depth, height of the body.
    pub(crate) size: V,
    pub(crate) place: [f64; 2],
    pub(crate) turn: f64,
    corner: f64,
    edge: f64,
    pub(crate) colour: V,
    shine: f64,
    stripe: Option<V>,
    pub(crate) jacks: Vec<Jack>,
    rounds: Vec<Round>,
    table: (u8, V),
    tint: V,
    light: V,
    ambient: f64,
    slope: [f64; 2],
    /// The shadow of whoever holds the camera: direction, where it begins, how soft it is in mm, how deep.
    shade: ([f64; 2], f64, f64, f64),
    softness: f64,
    /// The colour of printing, and how much there is.
    print: (V, f64),
    seed: u64,
}

/// From where, and with what.
#[derive(Clone, Debug)]
pub(crate) struct Shot {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) position: V,
    pub(crate) axes: [V; 3],
    pub(crate) focal: f64,
    pub(crate) bend: f64,
    pub(crate) shift: [f64; 2],
    pub(crate) blur: f64,
    /// How far the hand moved while it was taken, in pixels.
    pub(crate) smear: [f64; 2],
    /// How much darker the corners are.
    pub(crate) dim: f64,
    pub(crate) noise: f64,
    pub(crate) exposure: f64,
    pub(crate) focal_35: f64,
    pub(crate) tilt: f64,
}

const COLOURS: [V; 10] = [
    [0.03, 0.03, 0.035],
    [0.75, 0.75, 0.72],
    [0.45, 0.08, 0.06],
    [0.06, 0.12, 0.35],
    [0.08, 0.3, 0.12],
    [0.6, 0.45, 0.06],
    [0.25, 0.25, 0.27],
    [0.5, 0.5, 0.52],
    [0.35, 0.15, 0.4],
    [0.1, 0.35, 0.4],
];

impl Scene {
    pub(crate) fn random(lot: &mut Lot) -> Self {
        Self::sized(lot, None)
    }

    /// A device of this size, or of any.
    pub(crate) fn sized(lot: &mut Lot, known: Option<V>) -> Self {
        let paper = lot.one_of(&[Paper::A4, Paper::A4, Paper::Letter]);
        let [short, long] = paper.sides();
        let sheet = if lot.unit() < 0.75 { [long, short] } else { [short, long] };
        let most = [(sheet[0] - 70.0).min(170.0), (sheet[1] - 60.0).min(140.0)];
        let size = [lot.within(45.0, most[0]), lot.within(70.0, most[1]), lot.within(26.0, 62.0)];
        let size = known.unwrap_or(size);
        let turn = lot.within(-0.12, 0.12);
        let free = [sheet[0] - size[0] - 50.0, sheet[1] - size[1] - 44.0];
        let place = [25.0 + free[0] * lot.within(0.35, 0.65), 22.0 + free[1].max(0.0) * lot.within(0.3, 0.7)];
        let colour = lot.one_of(&COLOURS);
        let mut rounds = Vec::new();
        let mut jacks = Vec::new();
        let knobs = 1 + usize::try_from(lot.next() % 4).expect("small");
        for k in 0..knobs {
            let x = size[0] * (real(k) + 0.5) / real(knobs);
            let radius = lot.within(5.0, 8.0).min(size[0] / (2.5 * real(knobs)));
            let y = size[1] * 0.78;
            let high = lot.within(8.0, 15.0);
            let shade = lot.one_of(&[0.02, 0.05, 0.6]);
            rounds.push(Round {
                axis: 2,
                middle: [x, y, size[2] + high / 2.0],
                half: high / 2.0,
                radius,
                colour: [shade; 3],
                shine: 0.2,
                hole: 0.0,
                lamp: false,
            });
        }
        rounds.push(Round {
            axis: 2,
            middle: [size[0] / 2.0, size[1] * 0.2, size[2] + 4.0],
            half: 5.0,
            radius: 5.5,
            colour: [0.55; 3],
            shine: 0.8,
            hole: 0.0,
            lamp: false,
        });
        let lamp = lot.one_of(&[[0.9, 0.08, 0.06], [0.1, 0.8, 0.15], [0.15, 0.3, 1.0], [0.2, 0.02, 0.02]]);
        rounds.push(Round {
            axis: 2,
            middle: [size[0] * lot.within(0.3, 0.7), size[1] * 0.36, size[2] + 0.7],
            half: 0.9,
            radius: lot.within(1.5, 3.5),
            colour: lamp,
            shine: 0.6,
            hole: 0.0,
            lamp: 0.3 < lamp[0] + lamp[1],
        });
        for (side, metal) in [(Side::Right, true), (Side::Left, true), (Side::Back, false)] {
            let run = if side == Side::Back { size[0] } else { size[1] };
            let along = lot.within(0.3, 0.7) * run;
            let high = lot.within(0.42, 0.6) * size[2];
            jacks.push(Jack { side, along, high });
            let out = if metal { lot.within(0.8, 3.2) } else { lot.within(0.2, 1.0) };
            let at = |out: f64| match side {
                Side::Right => (0, [size[0] + out / 2.0, along, high]),
                Side::Left => (0, [-out / 2.0, along, high]),
                Side::Back => (1, [along, size[1] + out / 2.0, high]),
                Side::Front => (1, [along, -out / 2.0, high]),
            };
            let radius = if metal { lot.within(6.0, 7.0) } else { lot.within(5.0, 6.0) };
            let round = |out: f64, radius: f64, colour: V, shine: f64| {
                let (axis, middle) = at(out);
                let hole = if metal { 3.2 } else { 3.0 };
                Round { axis, middle, half: out / 2.0, radius, colour, shine, hole, lamp: false }
            };
            if metal {
                // A washer, and the nut's bright rim before it.
                let bright = lot.one_of(&[0.5, 0.7, 0.3]);
                let shade = lot.one_of(&[0.5, 0.35, 0.04]);
                rounds.push(round(out, radius * 0.78, [bright; 3], 0.8));
                rounds.push(round(
                    out * lot.within(0.25, 0.6),
                    radius + lot.within(0.0, 1.5),
                    [shade; 3],
                    0.5,
                ));
            } else {
                rounds.push(round(out, radius, [0.03; 3], 0.1));
            }
        }
        let kind = u8::try_from(lot.next() % 5).expect("small");
        let table = match kind {
            0 => [0.28, 0.16, 0.08],
            1 => [0.03, 0.03, 0.03],
            2 => [0.22, 0.22, 0.22],
            3 => [0.08, 0.12, 0.2],
            _ => [0.4, 0.27, 0.15],
        };
        let lean = lot.within(0.0, 0.9);
        let round = lot.within(0.0, std::f64::consts::TAU);
        Self {
            paper,
            sheet,
            size,
            place,
            turn,
            corner: lot.within(1.5, 7.0),
            edge: lot.within(0.4, 1.8),
            colour,
            shine: lot.within(0.02, 0.5),
            stripe: (lot.unit() < 0.5).then(|| lot.one_of(&COLOURS)),
            jacks,
            rounds,
            table: (kind, table),
            tint: {
                let white = lot.within(0.66, 0.88);
                [lot.within(0.97, 1.03), 1.0, lot.within(0.88, 1.03)].map(|by| by * white)
            },
            light: unit([lean * libm::cos(round), lean * libm::sin(round), 1.0]),
            ambient: lot.within(0.25, 0.6),
            slope: [lot.within(-0.0016, 0.0016), lot.within(-0.0016, 0.0016)],
            shade: {
                let (s, c) = libm::sincos(lot.within(0.0, std::f64::consts::TAU));
                let deep = if lot.unit() < 0.5 { lot.within(0.05, 0.4) } else { 0.0 };
                ([c, s], lot.within(-150.0, 150.0), lot.within(50.0, 200.0), deep)
            },
            softness: lot.within(4.0, 24.0),
            print: {
                let ink = if lot.unit() < 0.5 { 0.8 } else { 0.03 };
                ([ink; 3], lot.one_of(&[0.0, 0.3, 0.6, 1.0]))
            },
            seed: lot.next(),
        }
    }

    /// The camera above the middle of the sheet, tilted by up to `most` degrees.
    pub(crate) fn above(&self, lot: &mut Lot, most: f64) -> Shot {
        let tilt = lot.unit().sqrt() * most;
        let azimuth = lot.within(0.0, std::f64::consts::TAU);
        self.shot(lot, tilt, azimuth, None)
    }

    /// The camera before a side, looking down a little.
    pub(crate) fn before(&self, lot: &mut Lot, side: Side) -> Shot {
        let out = match side {
            Side::Right => 0.0,
            Side::Back => std::f64::consts::FRAC_PI_2,
            Side::Left => std::f64::consts::PI,
            Side::Front => -std::f64::consts::FRAC_PI_2,
        };
        let azimuth = out + self.turn + lot.within(-0.2, 0.2);
        let tilt = lot.within(48.0, 68.0);
        self.shot(lot, tilt, azimuth, Some(azimuth))
    }

    fn shot(&self, lot: &mut Lot, tilt: f64, azimuth: f64, facing: Option<f64>) -> Shot {
        let (width, height) = if lot.unit() < 0.06 {
            (3264, 2448)
        } else {
            lot.one_of(&[(1600, 1200), (1600, 1200), (2048, 1536)])
        };
        // One in five has a lens wider than main cameras have.
        let wide = lot.unit() < 0.2;
        let focal_35 = if wide { lot.within(17.0, 23.0) } else { lot.within(23.0, 31.0) };
        let half = real(width * width + height * height).sqrt() / 2.0;
        let focal = focal_35 / 21.633 * half;
        let lean = tilt.to_radians();
        let (s, c) = libm::sincos(lean);
        let (sa, ca) = libm::sincos(azimuth);
        let target = [
            self.sheet[0] / 2.0 + lot.within(-8.0, 8.0),
            self.sheet[1] / 2.0 + lot.within(-8.0, 8.0),
            if facing.is_some() { 10.0 } else { 0.0 },
        ];
        let up = match facing {
            None => [0.0, 1.0, 0.0],
            Some(_) => [0.0, 0.0, 1.0],
        };
        let roll = lot.within(-0.08, 0.08);
        let shift = [lot.within(-0.01, 0.01), lot.within(-0.01, 0.01)];
        let most = if wide { 0.08 } else { 0.05 };
        let bend = lot.within(-most, most);
        let mut far = if wide { lot.within(260.0, 360.0) } else { lot.within(340.0, 420.0) };
        loop {
            let position = add(target, scaled([s * ca, s * sa, c], far));
            let forward = unit(sub(target, position));
            let right = unit(cross(forward, up));
            let down = cross(forward, right);
            let (sr, cr) = libm::sincos(roll);
            let axes = [
                add(scaled(right, cr), scaled(down, sr)),
                add(scaled(down, cr), scaled(right, -sr)),
                forward,
            ];
            let shot = Shot {
                width,
                height,
                position,
                axes,
                focal,
                bend,
                shift,
                blur: lot.within(0.6, 1.6),
                smear: [0, 1].map(|_| lot.within(-1.2, 1.2)),
                dim: lot.within(0.2, 1.1),
                noise: lot.within(0.001, 0.006),
                exposure: lot.within(0.75, 1.15),
                focal_35,
                tilt,
            };
            // Whole sheet, and the device on it, within the picture.
            let margin = 0.03 * real(width);
            let mut points: Vec<V> = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]
                .iter()
                .map(|[x, y]| [x * self.sheet[0], y * self.sheet[1], 0.0])
                .collect();
            points.push(self.world([0.0, 0.0, self.size[2]]));
            points.push(self.world(self.size));
            let fits = points.iter().all(|p| {
                let [x, y] = shot.project(*p);
                margin < x && x < real(width) - margin && margin < y && y < real(height) - margin
            });
            if fits {
                return shot;
            }
            far *= 1.04;
        }
    }

    /// A point of the device's frame in the sheet's.
    pub(crate) fn world(&self, p: V) -> V {
        let (s, c) = libm::sincos(self.turn);
        [self.place[0] + c * p[0] - s * p[1], self.place[1] + s * p[0] + c * p[1], p[2]]
    }

    fn local(&self, p: V) -> V {
        let (s, c) = libm::sincos(self.turn);
        let [x, y] = [p[0] - self.place[0], p[1] - self.place[1]];
        [c * x + s * y, -s * x + c * y, p[2]]
    }

    fn local_direction(&self, d: V) -> V {
        let (s, c) = libm::sincos(self.turn);
        [c * d[0] + s * d[1], -s * d[0] + c * d[1], d[2]]
    }

    /// How far a point of the device's frame is from it, and from which part.
    fn distance(&self, p: V) -> (f64, usize) {
        let [w, d, h] = self.size;
        let (r, e) = (self.corner, self.edge);
        let (qx, qy) = ((p[0] - w / 2.0).abs() - w / 2.0 + r, (p[1] - d / 2.0).abs() - d / 2.0 + r);
        let outer = (qx.max(0.0) * qx.max(0.0) + qy.max(0.0) * qy.max(0.0)).sqrt();
        let plan = outer + qx.max(qy).min(0.0) - r;
        let level = (p[2] - h / 2.0).abs() - h / 2.0;
        let (a, b) = (plan + e, level + e);
        let body = a.max(b).min(0.0) + (a.max(0.0) * a.max(0.0) + b.max(0.0) * b.max(0.0)).sqrt() - e;
        let mut best = (body, 0);
        for (k, round) in self.rounds.iter().enumerate() {
            let o = sub(p, round.middle);
            let (u, v) = match round.axis {
                0 => (o[1], o[2]),
                1 => (o[0], o[2]),
                _ => (o[0], o[1]),
            };
            let a = (u * u + v * v).sqrt() - round.radius;
            let b = o[round.axis].abs() - round.half;
            let far = a.max(b).min(0.0) + (a.max(0.0) * a.max(0.0) + b.max(0.0) * b.max(0.0)).sqrt();
            if far < best.0 {
                best = (far, k + 1);
            }
        }
        best
    }

    /// Where a ray of the device's frame enters and leaves the box round all of it.
    fn around(&self, from: V, along: V) -> Option<(f64, f64)> {
        let low = [-4.0, -4.0, 0.0];
        let high = [self.size[0] + 4.0, self.size[1] + 4.0, self.size[2] + 17.0];
        let (mut near, mut far) = (0.0f64, f64::INFINITY);
        for k in 0..3 {
            if along[k].abs() < 1e-12 {
                if from[k] < low[k] || high[k] < from[k] {
                    return None;
                }
                continue;
            }
            let (a, b) = ((low[k] - from[k]) / along[k], (high[k] - from[k]) / along[k]);
            near = near.max(a.min(b));
            far = far.min(a.max(b));
        }
        (near < far).then_some((near, far))
    }

    fn hit(&self, from: V, along: V) -> Option<(V, usize)> {
        let (near, far) = self.around(from, along)?;
        let mut t = near;
        for _ in 0..90 {
            let p = add(from, scaled(along, t));
            let (d, part) = self.distance(p);
            if d < 0.01 {
                return Some((p, part));
            }
            t += d;
            if far < t {
                return None;
            }
        }
        None
    }

    /// How much of the light reaches a point of the device's frame, with soft borders.
    fn lit(&self, from: V, towards: V) -> f64 {
        let Some((near, far)) = self.around(from, towards) else { return 1.0 };
        let mut t = near.max(0.6);
        let mut share = 1.0f64;
        for _ in 0..40 {
            let (d, _) = self.distance(add(from, scaled(towards, t)));
            if d < 0.02 {
                return 0.0;
            }
            share = share.min(self.softness * d / t);
            t += d.max(0.5);
            if far < t {
                break;
            }
        }
        share.clamp(0.0, 1.0)
    }

    fn ground(&self, x: f64, y: f64) -> V {
        let on_sheet = 0.0 <= x && 0.0 <= y && x <= self.sheet[0] && y <= self.sheet[1];
        if on_sheet {
            let mottle = 1.0 + 0.02 * (texture(self.seed, x / 3.0, y / 3.0) - 0.5);
            return self.tint.map(|v| v * mottle);
        }
        let (kind, base) = self.table;
        let by = match kind {
            0 | 4 => {
                // Wood: long grain, boards with joints.
                let grain = texture(self.seed, x / 60.0, y / 1.6) * 0.5
                    + texture(self.seed ^ 7, x / 200.0, y / 7.0) * 0.6;
                let joint = if (y / 92.0 - (y / 92.0).floor()) < 0.012 { 0.4 } else { 1.0 };
                (0.55 + 0.8 * grain) * joint
            }
            3 => {
                let weave = f64::from(u8::from((x / 1.1).floor().rem_euclid(2.0) < 0.5))
                    + f64::from(u8::from((y / 1.1).floor().rem_euclid(2.0) < 0.5));
                0.7 + 0.25 * weave + 0.3 * texture(self.seed, x / 9.0, y / 9.0)
            }
            _ => {
                0.75 + 0.35 * texture(self.seed, x / 2.2, y / 2.2)
                    + 0.25 * texture(self.seed ^ 3, x / 40.0, y / 40.0)
            }
        };
        base.map(|v| v * by)
    }

    /// Whether something is printed at a place of a face, whose sides are given: rows of what looks like letters.
    fn is_printed(&self, u: f64, v: f64, sides: [f64; 2], rows: &[f64]) -> bool {
        let row = rows.iter().position(|row| (v - row * sides[1]).abs() < 1.4);
        let Some(row) = row.filter(|_| 6.0 < u && u < sides[0] - 6.0) else { return false };
        #[expect(clippy::cast_possible_truncation, reason = "small numbers")]
        let cell = |v: f64| v.floor() as i64;
        let seed = self.seed ^ (row as u64 + 11);
        // Words, letters, strokes.
        hash(seed, cell(u / 13.0), 1) < self.print.1
            && (u / 2.2 - (u / 2.2).floor()) < 0.75
            && hash(seed, cell(u / 0.55), cell(v / 0.7)) < 0.6
    }

    fn colour_of(&self, from: V, along: V) -> V {
        let (f, a) = (self.local(from), self.local_direction(along));
        let light = self.local_direction(self.light);
        let ground_at = -from[2] / along[2];
        if let Some((p, part)) = self.hit(f, a) {
            let d = |o: V| self.distance(add(p, o)).0;
            let e = 0.02;
            let normal = unit([
                d([e, 0.0, 0.0]) - d([-e, 0.0, 0.0]),
                d([0.0, e, 0.0]) - d([0.0, -e, 0.0]),
                d([0.0, 0.0, e]) - d([0.0, 0.0, -e]),
            ]);
            let (mut colour, shine) = match part {
                0 => {
                    let stripe = self.stripe.filter(|_| {
                        normal[2] > 0.9 && (p[1] / self.size[1] - 0.5).abs() < 0.12 && {
                            let u = p[0] / self.size[0];
                            (0.15..0.85).contains(&u)
                        }
                    });
                    let [w, d, h] = self.size;
                    let is_printed = if normal[2] > 0.9 {
                        self.is_printed(p[0], p[1], [w, d], &[0.3, 0.66, 0.92])
                    } else if normal[0].abs() > 0.9 {
                        self.is_printed(p[1], p[2], [d, h], &[0.84])
                    } else {
                        normal[1].abs() > 0.9 && self.is_printed(p[0], p[2], [w, h], &[0.84])
                    };
                    let base = stripe.unwrap_or(self.colour);
                    (if is_printed { self.print.0 } else { base }, self.shine)
                }
                k => (self.rounds[k - 1].colour, self.rounds[k - 1].shine),
            };
            if 0 < part {
                let round = &self.rounds[part - 1];
                let o = sub(p, round.middle);
                let (u, v) = match round.axis {
                    0 => (o[1], o[2]),
                    1 => (o[0], o[2]),
                    _ => (o[0], o[1]),
                };
                if (u * u + v * v).sqrt() < round.hole && normal[round.axis].abs() > 0.7 {
                    colour = [0.01; 3];
                }
                if round.axis == 2
                    && normal[2] > 0.9
                    && u.abs() < 0.6
                    && 0.0 < v
                    && round.radius < 9.0
                    && round.shine < 0.5
                {
                    colour = [0.8; 3];
                }
            }
            let dimmed = self.shaded(from, along, p[2]);
            let own = if 0 < part && self.rounds[part - 1].lamp { 0.6 } else { 0.0 };
            let share =
                if dot(normal, light) <= 0.0 { 0.0 } else { self.lit(add(p, scaled(normal, 0.15)), light) };
            let diffuse = dot(normal, light).max(0.0) * share * (1.0 - self.ambient);
            let sky = self.ambient * (0.62 + 0.38 * normal[2]);
            let half = unit(sub(light, a));
            let gloss = shine * share * libm::pow(dot(normal, half).max(0.0), 60.0);
            return std::array::from_fn(|c| (colour[c] * (diffuse + sky) + gloss) * dimmed + own * colour[c]);
        }
        let p = add(from, scaled(along, ground_at));
        let base = self.ground(p[0], p[1]);
        let local = self.local(p);
        let share = self.lit(local, light);
        // Less of the sky is seen close to the device.
        let (d, _) = self.distance(local);
        let sky = self.ambient * (0.55 + 0.45 * (d / 14.0).min(1.0));
        let even = (1.0 + self.slope[0] * (p[0] - 150.0) + self.slope[1] * (p[1] - 105.0)).clamp(0.4, 1.7);
        let dimmed = self.shaded(from, along, 0.0);
        base.map(|v| v * (light[2] * share * (1.0 - self.ambient) + sky) * even * dimmed)
    }

    /// What is left of the light where a ray reaches a height.
    fn shaded(&self, from: V, along: V, height: f64) -> f64 {
        let (towards, begins, soft, deep) = self.shade;
        if deep <= 0.0 {
            return 1.0;
        }
        let p = add(from, scaled(along, (height - from[2]) / along[2]));
        let t = ((p[0] - 150.0) * towards[0] + (p[1] - 105.0) * towards[1] - begins) / soft;
        let t = t.clamp(0.0, 1.0);
        1.0 - deep * t * t * (3.0 - 2.0 * t)
    }
}

fn hash(seed: u64, x: i64, y: i64) -> f64 {
    #[expect(clippy::cast_sign_loss, reason = "bits are mixed")]
    let mut lot =
        Lot(seed ^ (x as u64).wrapping_mul(0x9e37_79b9) ^ (y as u64).wrapping_mul(0x85eb_ca6b_0000));
    lot.unit()
}

/// Smooth value noise, 0 to 1.
fn texture(seed: u64, x: f64, y: f64) -> f64 {
    #[expect(clippy::cast_possible_truncation, reason = "small numbers")]
    let (i, j) = (x.floor() as i64, y.floor() as i64);
    let smooth = |t: f64| t * t * (3.0 - 2.0 * t);
    let (u, v) = (smooth(x - x.floor()), smooth(y - y.floor()));
    let a = hash(seed, i, j) * (1.0 - u) + hash(seed, i + 1, j) * u;
    let b = hash(seed, i, j + 1) * (1.0 - u) + hash(seed, i + 1, j + 1) * u;
    a * (1.0 - v) + b * v
}

impl Shot {
    fn half(&self) -> f64 {
        real(self.width * self.width + self.height * self.height).sqrt() / 2.0
    }

    fn centre(&self) -> [f64; 2] {
        let half = self.half();
        [
            (real(self.width) - 1.0) / 2.0 + self.shift[0] * half,
            (real(self.height) - 1.0) / 2.0 + self.shift[1] * half,
        ]
    }

    /// The pixel of a point: written apart from the crate's own.
    pub(crate) fn project(&self, p: V) -> [f64; 2] {
        let o = sub(p, self.position);
        let z = dot(o, self.axes[2]);
        let half = self.half();
        let u = self.focal * dot(o, self.axes[0]) / z / half;
        let v = self.focal * dot(o, self.axes[1]) / z / half;
        let by = 1.0 + self.bend * (u * u + v * v);
        let c = self.centre();
        [c[0] + u * by * half, c[1] + v * by * half]
    }

    fn ray(&self, x: f64, y: f64) -> V {
        let c = self.centre();
        let half = self.half();
        let (u, v) = ((x - c[0]) / half, (y - c[1]) / half);
        let seen = (u * u + v * v).sqrt();
        let mut r = seen;
        for _ in 0..6 {
            r -= (r * (1.0 + self.bend * r * r) - seen) / (1.0 + 3.0 * self.bend * r * r);
        }
        let by = if seen < 1e-9 { 1.0 } else { r / seen };
        unit(add(
            self.axes[2],
            add(
                scaled(self.axes[0], u * by * half / self.focal),
                scaled(self.axes[1], v * by * half / self.focal),
            ),
        ))
    }

    /// The picture of a scene.
    pub(crate) fn take(&self, scene: &Scene, lot: &mut Lot) -> Picture {
        let (w, h) = (self.width, self.height);
        let mut pixels: Vec<[f32; 3]> = Vec::with_capacity(w * h);
        for y in 0..h {
            for x in 0..w {
                // Somewhere in the pixel, and somewhere on the hand's way.
                let way = lot.unit() - 0.5;
                let dx = lot.unit() - 0.5 + way * self.smear[0];
                let dy = lot.unit() - 0.5 + way * self.smear[1];
                let along = self.ray(real(x) + dx, real(y) + dy);
                let colour = if along[2] < -1e-3 { scene.colour_of(self.position, along) } else { [0.2; 3] };
                #[expect(clippy::cast_possible_truncation, reason = "a picture")]
                pixels.push(colour.map(|v| v as f32));
            }
        }
        blur(&mut pixels, w, h, self.blur);
        let noise: Vec<f64> = (0..1 << 14).map(|_| self.noise * lot.normal()).collect();
        let codes: Vec<u8> = (0..=1 << 14).map(|k| code(f64::from(k) / f64::from(1 << 14))).collect();
        let mut rgb = Vec::with_capacity(w * h * 3);
        for (k, pixel) in pixels.iter().enumerate() {
            let (u, v) = (real(k % w) / real(w) - 0.5, real(k / w) / real(h) - 0.5);
            let dim = 1.0 - self.dim * (u * u + v * v);
            let mut lots = lot.next();
            for c in pixel {
                let value = f64::from(*c) * dim * self.exposure;
                let noise = noise[usize::try_from(lots & 0x3fff).expect("small")];
                lots >>= 14;
                let value = value + noise * (0.4 + value.max(0.0).sqrt());
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded")]
                let step = (value.clamp(0.0, 1.0) * f64::from(1 << 14)) as usize;
                rgb.push(codes[step]);
            }
        }
        Picture::new(w, h, rgb).expect("three bytes for each")
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "bounded")]
fn code(v: f64) -> u8 {
    let v = v.clamp(0.0, 1.0);
    let c = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * libm::pow(v, 1.0 / 2.4) - 0.055 };
    (c * 255.0 + 0.5) as u8
}

fn blur(pixels: &mut [[f32; 3]], w: usize, h: usize, sigma: f64) {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "small")]
    let radius = (3.0 * sigma).ceil() as usize;
    #[expect(clippy::cast_possible_truncation, reason = "weights")]
    let kernel: Vec<f32> = (0..=2 * radius)
        .map(|k| {
            let t = real(k) - real(radius);
            libm::exp(-t * t / (2.0 * sigma * sigma)) as f32
        })
        .collect();
    let sum: f32 = kernel.iter().sum();
    let kernel: Vec<f32> = kernel.iter().map(|v| v / sum).collect();
    let place = |at: usize, k: usize, most: usize| (at + k).saturating_sub(radius).min(most - 1);
    let mut across = vec![[0.0f32; 3]; w * h];
    for (row, out) in pixels.chunks_exact(w).zip(across.chunks_exact_mut(w)) {
        for (k, weight) in kernel.iter().enumerate() {
            for (x, out) in out.iter_mut().enumerate() {
                let pixel = row[place(x, k, w)];
                for c in 0..3 {
                    out[c] += weight * pixel[c];
                }
            }
        }
    }
    for (y, out) in pixels.chunks_exact_mut(w).enumerate() {
        out.fill([0.0; 3]);
        for (k, weight) in kernel.iter().enumerate() {
            let from = place(y, k, h) * w;
            for (out, pixel) in out.iter_mut().zip(&across[from..from + w]) {
                for c in 0..3 {
                    out[c] += weight * pixel[c];
                }
            }
        }
    }
}
