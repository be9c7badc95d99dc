//! A complex number of two doubles, as much of it as the solvers need.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A complex number.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// Nought.
    pub const ZERO: Self = Self { re: 0.0, im: 0.0 };
    /// One.
    pub const ONE: Self = Self { re: 1.0, im: 0.0 };

    /// From its parts.
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// The square of its size.
    pub fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// Its size.
    pub fn size(self) -> f64 {
        libm::hypot(self.re, self.im)
    }

    /// Its size in decibels.
    pub fn decibels(self) -> f64 {
        10.0 * libm::log10(self.square())
    }

    /// A real multiple.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self::new(self.re * factor, self.im * factor)
    }

    /// One over it.
    #[must_use]
    pub fn inverse(self) -> Self {
        Self::ONE / self
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(self.re * other.re - self.im * other.im, self.re * other.im + self.im * other.re)
    }
}

/// Smith's way, so that very large and very small parts do not overflow.
impl Div for Complex {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        if other.re.abs() >= other.im.abs() {
            let r = other.im / other.re;
            let d = other.re + other.im * r;
            Self::new((self.re + self.im * r) / d, (self.im - self.re * r) / d)
        } else {
            let r = other.re / other.im;
            let d = other.re * r + other.im;
            Self::new((self.re * r + self.im) / d, (self.im * r - self.re) / d)
        }
    }
}
