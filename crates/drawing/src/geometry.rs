//! Points, boxes and how a symbol is turned. Lengths are in pixels at the base scale; x grows to the right, y downwards.

/// A point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

impl Point {
    /// From its coordinates.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    /// Moved by so much.
    pub fn moved(self, x: f64, y: f64) -> Self {
        Self { x: self.x + x, y: self.y + y }
    }
}

/// An upright box.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    /// Its left edge.
    pub x: f64,
    /// Its upper edge.
    pub y: f64,
    /// Its width.
    pub width: f64,
    /// Its height.
    pub height: f64,
}

impl Rect {
    /// From two opposite corners.
    pub fn spanning(one: Point, other: Point) -> Self {
        Self {
            x: one.x.min(other.x),
            y: one.y.min(other.y),
            width: (one.x - other.x).abs(),
            height: (one.y - other.y).abs(),
        }
    }
    /// Its right edge.
    pub fn right(&self) -> f64 {
        self.x + self.width
    }
    /// Its lower edge.
    pub fn bottom(&self) -> f64 {
        self.y + self.height
    }
    /// Its middle.
    pub fn centre(&self) -> Point {
        Point::new(self.x + self.width / 2.0, self.y + self.height / 2.0)
    }
    /// Whether a point lies in it or on its edge.
    pub fn holds(&self, point: Point) -> bool {
        (self.x..=self.right()).contains(&point.x) && (self.y..=self.bottom()).contains(&point.y)
    }
    /// Whether two boxes have more than an edge in common.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }
    /// The smallest box around both.
    pub fn with(&self, other: &Self) -> Self {
        Self::spanning(
            Point::new(self.x.min(other.x), self.y.min(other.y)),
            Point::new(self.right().max(other.right()), self.bottom().max(other.bottom())),
        )
    }
    /// Grown by so much on every side.
    pub fn grown(&self, by: f64) -> Self {
        Self { x: self.x - by, y: self.y - by, width: self.width + 2.0 * by, height: self.height + 2.0 * by }
    }
    /// Grown around its middle until it is at least so wide and high.
    pub fn at_least(&self, side: f64) -> Self {
        let (width, height) = (self.width.max(side), self.height.max(side));
        let centre = self.centre();
        Self { x: centre.x - width / 2.0, y: centre.y - height / 2.0, width, height }
    }
    /// Whether a horizontal or vertical stretch passes through its inside.
    pub fn is_cut_by(&self, from: Point, to: Point) -> bool {
        let stretch = Self::spanning(from, to);
        stretch.x < self.right()
            && self.x < stretch.right()
            && stretch.y < self.bottom()
            && self.y < stretch.bottom()
    }
}

/// How a symbol, drawn for flow to the right with its actuator above, lies in a scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pose {
    /// Flow to the right, actuator above.
    Right,
    /// Flow to the left, actuator above.
    Left,
    /// Flow downwards, actuator to the left.
    Down,
    /// Flow upwards, actuator to the left.
    Up,
}

impl Pose {
    /// The matrix (a, b, c, d) of a transformation: x' = a·x + c·y, y' = b·x + d·y.
    pub const fn matrix(self) -> [f64; 4] {
        match self {
            Self::Right => [1.0, 0.0, 0.0, 1.0],
            Self::Left => [-1.0, 0.0, 0.0, 1.0],
            Self::Down => [0.0, 1.0, 1.0, 0.0],
            Self::Up => [0.0, -1.0, 1.0, 0.0],
        }
    }
    /// A point of the symbol as it comes to lie, from the symbol's middle.
    pub fn apply(self, point: Point) -> Point {
        let [a, b, c, d] = self.matrix();
        Point::new(a * point.x + c * point.y, b * point.x + d * point.y)
    }
    /// A box of the symbol as it comes to lie.
    pub fn apply_rect(self, rect: &Rect) -> Rect {
        Rect::spanning(
            self.apply(Point::new(rect.x, rect.y)),
            self.apply(Point::new(rect.right(), rect.bottom())),
        )
    }
    /// As a SVG `transform` for a symbol whose middle is there.
    pub fn transform(self, at: Point) -> String {
        let [a, b, c, d] = self.matrix();
        format!("matrix({a} {b} {c} {d} {} {})", short(at.x), short(at.y))
    }
}

/// A coordinate as it is written: two decimals at most, no "-0".
pub(crate) fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
