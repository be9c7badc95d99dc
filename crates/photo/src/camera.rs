//! Where the camera was, and what it makes of a point.
//!
//! The sheet lies in the plane z = 0 with its front left corner at the origin: x to the right, y to the back, z up, in mm.
//! A pinhole with one radial term ([src:HARTLEY-2004]; the distortion [src:BROWN-1971]): what a straight line should show at distance r from the middle stands at r (1 + k r²),
//! r in half diagonals of the picture.

use crate::numbers::solve;

/// Rotation vector (3), translation in mm (3), logarithm of the focal length in half diagonals, radial term, and the middle
/// of the lens beside that of the picture, in half diagonals (2).
pub(crate) const PARAMETERS: usize = 10;

/// A camera that has been found.
#[derive(Debug, Clone)]
pub struct Camera {
    pub(crate) half_diagonal: f64,
    pub(crate) middle: [f64; 2],
    pub(crate) values: [f64; PARAMETERS],
    rotation: [[f64; 3]; 3],
}

fn product(a: &[[f64; 3]; 3], b: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..3).map(|k| a[i][k] * b[k][j]).sum()))
}

/// The rotation by a vector (Rodrigues), after turning the sheet's axes to those of a camera that looks straight down.
fn rotation([x, y, z]: [f64; 3]) -> [[f64; 3]; 3] {
    let angle = (x * x + y * y + z * z).sqrt();
    let down = [[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]];
    if angle < 1e-12 {
        return down;
    }
    let [x, y, z] = [x / angle, y / angle, z / angle];
    let (s, c) = libm::sincos(angle);
    let d = 1.0 - c;
    let turn = [
        [c + x * x * d, x * y * d - z * s, x * z * d + y * s],
        [y * x * d + z * s, c + y * y * d, y * z * d - x * s],
        [z * x * d - y * s, z * y * d + x * s, c + z * z * d],
    ];
    product(&turn, &down)
}

/// The vector of a rotation.
fn vector(r: &[[f64; 3]; 3]) -> [f64; 3] {
    let turn = product(r, &[[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, -1.0]]);
    let cos = ((turn[0][0] + turn[1][1] + turn[2][2] - 1.0) / 2.0).clamp(-1.0, 1.0);
    let angle = libm::acos(cos);
    let axis = [turn[2][1] - turn[1][2], turn[0][2] - turn[2][0], turn[1][0] - turn[0][1]];
    let norm = axis.iter().map(|v| v * v).sum::<f64>().sqrt();
    if norm < 1e-12 { [0.0; 3] } else { axis.map(|v| v / norm * angle) }
}

impl Camera {
    pub(crate) fn new(width: f64, height: f64, values: [f64; PARAMETERS]) -> Self {
        Self {
            half_diagonal: (width * width + height * height).sqrt() / 2.0,
            middle: [(width - 1.0) / 2.0, (height - 1.0) / 2.0],
            values,
            rotation: rotation([values[0], values[1], values[2]]),
        }
    }

    pub(crate) fn with(&self, values: &[f64]) -> Self {
        let values: [f64; PARAMETERS] = std::array::from_fn(|k| values[k]);
        Self { values, rotation: rotation([values[0], values[1], values[2]]), ..*self }
    }

    fn focal(&self) -> f64 {
        libm::exp(self.values[6]) * self.half_diagonal
    }

    fn centre(&self) -> [f64; 2] {
        [
            self.middle[0] + self.values[8] * self.half_diagonal,
            self.middle[1] + self.values[9] * self.half_diagonal,
        ]
    }

    /// Where a point is seen by a lens that bends nothing.
    pub(crate) fn straight(&self, point: [f64; 3]) -> [f64; 2] {
        let r = &self.rotation;
        let seen: [f64; 3] =
            std::array::from_fn(|i| (0..3).map(|k| r[i][k] * point[k]).sum::<f64>() + self.values[3 + i]);
        let depth = if seen[2].abs() < 1e-6 { 1e-6 } else { seen[2] };
        let (f, c) = (self.focal(), self.centre());
        [c[0] + f * seen[0] / depth, c[1] + f * seen[1] / depth]
    }

    /// The pixel that shows a point.
    pub fn project(&self, point: [f64; 3]) -> [f64; 2] {
        self.bent(self.straight(point))
    }

    /// Where the lens shows what would be at a place without its bend.
    pub(crate) fn bent(&self, at: [f64; 2]) -> [f64; 2] {
        let c = self.centre();
        let [x, y] = [(at[0] - c[0]) / self.half_diagonal, (at[1] - c[1]) / self.half_diagonal];
        let by = 1.0 + self.values[7] * (x * x + y * y);
        [c[0] + x * by * self.half_diagonal, c[1] + y * by * self.half_diagonal]
    }

    /// Where a pixel would be without the lens's bend.
    pub(crate) fn straighten(&self, at: [f64; 2]) -> [f64; 2] {
        let c = self.centre();
        let [x, y] = [(at[0] - c[0]) / self.half_diagonal, (at[1] - c[1]) / self.half_diagonal];
        let seen = (x * x + y * y).sqrt();
        if seen < 1e-12 {
            return at;
        }
        let k = self.values[7];
        let mut r = seen;
        for _ in 0..12 {
            let slope = 1.0 + 3.0 * k * r * r;
            if slope.abs() < 0.1 {
                break;
            }
            r -= (r * (1.0 + k * r * r) - seen) / slope;
        }
        let by = r / seen;
        [c[0] + x * by * self.half_diagonal, c[1] + y * by * self.half_diagonal]
    }

    /// Where the camera stands.
    pub fn position(&self) -> [f64; 3] {
        let r = &self.rotation;
        std::array::from_fn(|k| -(0..3).map(|i| r[i][k] * self.values[3 + i]).sum::<f64>())
    }

    /// The direction in which a pixel looks.
    fn direction(&self, pixel: [f64; 2]) -> [f64; 3] {
        let at = self.straighten(pixel);
        let (f, c) = (self.focal(), self.centre());
        let seen = [(at[0] - c[0]) / f, (at[1] - c[1]) / f, 1.0];
        std::array::from_fn(|k| (0..3).map(|i| self.rotation[i][k] * seen[i]).sum())
    }

    /// Where the sight of a pixel meets the level plane at height `z`.
    pub fn on_level(&self, pixel: [f64; 2], z: f64) -> [f64; 3] {
        self.on_plane(pixel, [0.0, 0.0, z], [0.0, 0.0, 1.0])
    }

    /// Where the sight of a pixel meets a plane through a point.
    pub(crate) fn on_plane(&self, pixel: [f64; 2], through: [f64; 3], normal: [f64; 3]) -> [f64; 3] {
        let (from, along) = (self.position(), self.direction(pixel));
        let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
        let slope = dot(along, normal);
        let slope = if slope.abs() < 1e-9 { 1e-9 } else { slope };
        let far = dot(std::array::from_fn(|k| through[k] - from[k]), normal) / slope;
        std::array::from_fn(|k| from[k] + far * along[k])
    }

    /// How high the camera was above the sheet, in mm.
    pub fn height(&self) -> f64 {
        self.position()[2]
    }

    /// The angle between the camera's axis and straight down, in degrees.
    pub fn tilt(&self) -> f64 {
        libm::acos((-self.rotation[2][2]).clamp(-1.0, 1.0)).to_degrees()
    }

    /// The radial term, in half diagonals.
    pub fn bend(&self) -> f64 {
        self.values[7]
    }

    /// Pixels to a millimetre at a point of the sheet.
    pub(crate) fn pixels_per_mm(&self, at: [f64; 2]) -> f64 {
        let [a, b, c] =
            [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]].map(|d| self.project([at[0] + d[0], at[1] + d[1], 0.0]));
        let far = |p: [f64; 2], q: [f64; 2]| {
            let [x, y] = [p[0] - q[0], p[1] - q[1]];
            (x * x + y * y).sqrt()
        };
        f64::midpoint(far(a, b), far(a, c))
    }
}

/// The 3 × 3 matrix, row by row, that takes four points to four others: eight equations, the last entry 1 (direct linear
/// transformation, [src:HARTLEY-2004]). `None` where three of them lie on a line.
pub fn homography(from: &[[f64; 2]; 4], to: &[[f64; 2]; 4]) -> Option<[[f64; 3]; 3]> {
    let mut a = Vec::new();
    let mut b = Vec::new();
    for ([x, y], [u, v]) in from.iter().zip(to) {
        a.push(vec![*x, *y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y]);
        b.push(vec![*u]);
        a.push(vec![0.0, 0.0, 0.0, *x, *y, 1.0, -v * x, -v * y]);
        b.push(vec![*v]);
    }
    let h = solve(a, b)?;
    let at = |k: usize| h[k][0];
    Some([[at(0), at(1), at(2)], [at(3), at(4), at(5)], [at(6), at(7), 1.0]])
}

/// A first guess from the four corners and a focal length in half diagonals: the columns of the homography are those of
/// the rotation and the translation ([src:ZHANG-2000]).
pub(crate) fn first_guess(
    picture: (f64, f64),
    sheet: &[[f64; 2]; 4],
    corners: &[[f64; 2]; 4],
    focal: f64,
) -> Option<Camera> {
    let plain = Camera::new(picture.0, picture.1, [0.0; PARAMETERS]);
    let f = focal * plain.half_diagonal;
    let normal = corners.map(|[x, y]| [(x - plain.middle[0]) / f, (y - plain.middle[1]) / f]);
    let h = homography(sheet, &normal)?;
    let column = |k: usize| [h[0][k], h[1][k], h[2][k]];
    let norm = |v: [f64; 3]| v.iter().map(|x| x * x).sum::<f64>().sqrt();
    let scale = 2.0 / (norm(column(0)) + norm(column(1)));
    // The sheet is in front of the camera.
    let scale = if h[2][2] < 0.0 { -scale } else { scale };
    let (a, b, t) =
        (column(0).map(|v| v * scale), column(1).map(|v| v * scale), column(2).map(|v| v * scale));
    let na = norm(a);
    let a = a.map(|v| v / na);
    let along: f64 = (0..3).map(|k| a[k] * b[k]).sum();
    let b: [f64; 3] = std::array::from_fn(|k| b[k] - along * a[k]);
    let nb = norm(b);
    let b = b.map(|v| v / nb);
    let c = [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
    let r: [[f64; 3]; 3] = std::array::from_fn(|i| [a[i], b[i], c[i]]);
    let w = vector(&r);
    let values = [w[0], w[1], w[2], t[0], t[1], t[2], libm::log(focal), 0.0, 0.0, 0.0];
    values.iter().all(|v| v.is_finite()).then(|| Camera::new(picture.0, picture.1, values))
}
