//! Writes path data (the `d` of SVG) point by point.

use crate::Pose;
use crate::geometry::short;

/// Path data under construction; coordinates are absolute.
#[derive(Clone, Debug)]
pub(crate) struct Path {
    data: String,
    /// What every point goes through before it is written.
    matrix: [f64; 4],
}

impl Path {
    pub(crate) fn new() -> Self {
        Self { data: String::new(), matrix: [1.0, 0.0, 0.0, 1.0] }
    }
    /// For what stays upright however its symbol is turned: undoes the pose.
    pub(crate) fn upright(pose: Pose) -> Self {
        let [a, b, c, d] = pose.matrix();
        Self { data: String::new(), matrix: [a, c, b, d] }
    }
    fn turned(&self, x: f64, y: f64) -> (f64, f64) {
        let [a, b, c, d] = self.matrix;
        (a * x + c * y, b * x + d * y)
    }
    fn put(mut self, command: char, numbers: &[f64]) -> Self {
        self.data.push(command);
        for (at, number) in numbers.iter().enumerate() {
            if at > 0 {
                self.data.push(' ');
            }
            self.data.push_str(&short(*number));
        }
        self
    }
    pub(crate) fn to(self, x: f64, y: f64) -> Self {
        let (x, y) = self.turned(x, y);
        self.put('M', &[x, y])
    }
    pub(crate) fn line(self, x: f64, y: f64) -> Self {
        let (x, y) = self.turned(x, y);
        self.put('L', &[x, y])
    }
    pub(crate) fn curve(self, x1: f64, y1: f64, x2: f64, y2: f64, x: f64, y: f64) -> Self {
        let ((x1, y1), (x2, y2), (x, y)) = (self.turned(x1, y1), self.turned(x2, y2), self.turned(x, y));
        self.put('C', &[x1, y1, x2, y2, x, y])
    }
    /// An arc of a circle, the short way round, clockwise or not.
    pub(crate) fn arc(self, radius: f64, clockwise: bool, x: f64, y: f64) -> Self {
        let [a, b, c, d] = self.matrix;
        let clockwise = clockwise == (a * d - b * c > 0.0);
        let (x, y) = self.turned(x, y);
        self.put('A', &[radius, radius, 0.0, 0.0, f64::from(u8::from(clockwise)), x, y])
    }
    pub(crate) fn close(mut self) -> Self {
        self.data.push('Z');
        self
    }
    pub(crate) fn poly(self, points: &[(f64, f64)]) -> Self {
        let mut path = self;
        for (at, &(x, y)) in points.iter().enumerate() {
            path = if at == 0 { path.to(x, y) } else { path.line(x, y) };
        }
        path
    }
    pub(crate) fn rect(self, x: f64, y: f64, width: f64, height: f64) -> Self {
        self.poly(&[(x, y), (x + width, y), (x + width, y + height), (x, y + height)]).close()
    }
    pub(crate) fn rounded(self, x: f64, y: f64, width: f64, height: f64, r: f64) -> Self {
        let (right, bottom) = (x + width, y + height);
        self.to(x + r, y)
            .line(right - r, y)
            .arc(r, true, right, y + r)
            .line(right, bottom - r)
            .arc(r, true, right - r, bottom)
            .line(x + r, bottom)
            .arc(r, true, x, bottom - r)
            .line(x, y + r)
            .arc(r, true, x + r, y)
            .close()
    }
    pub(crate) fn circle(self, x: f64, y: f64, r: f64) -> Self {
        self.to(x - r, y).arc(r, true, x + r, y).arc(r, true, x - r, y).close()
    }
    pub(crate) fn done(self) -> String {
        self.data
    }
}
