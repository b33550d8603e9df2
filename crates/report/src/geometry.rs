//! Points, boxes and polylines on the sheet; y points down.

/// A place on the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Point {
    pub(crate) x: f64,
    pub(crate) y: f64,
}

impl Point {
    pub(crate) const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }
    pub(crate) fn to(self, other: Self, part: f64) -> Self {
        Self { x: self.x + part * (other.x - self.x), y: self.y + part * (other.y - self.y) }
    }
    pub(crate) fn distance(self, other: Self) -> f64 {
        let (dx, dy) = (other.x - self.x, other.y - self.y);
        (dx * dx + dy * dy).sqrt()
    }
}

/// An upright rectangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rectangle {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Rectangle {
    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }
    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }
    fn inset(&self, by: f64) -> Self {
        Self { left: self.left + by, top: self.top + by, right: self.right - by, bottom: self.bottom - by }
    }
    fn holds(&self, at: Point) -> bool {
        at.x >= self.left && at.x <= self.right && at.y >= self.top && at.y <= self.bottom
    }

    /// The part of a straight line that lies inside (Liang and Barsky).
    fn clip(&self, from: Point, to: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let sides = [
            (-dx, from.x - self.left),
            (dx, self.right - from.x),
            (-dy, from.y - self.top),
            (dy, self.bottom - from.y),
        ];
        let (mut start, mut end) = (0.0_f64, 1.0_f64);
        for (step, room) in sides {
            if step.abs() < 1e-12 {
                if room < 0.0 {
                    return None;
                }
            } else if step < 0.0 {
                start = start.max(room / step);
            } else {
                end = end.min(room / step);
            }
        }
        (start <= end).then(|| (from.to(to, start), from.to(to, end)))
    }

    /// The pieces of a polyline that lie inside.
    pub(crate) fn pieces(&self, line: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for (from, to) in line.iter().zip(line.iter().skip(1)) {
            let Some((from, to)) = self.clip(*from, *to) else { continue };
            match pieces.last_mut() {
                Some(piece) if piece.last().is_some_and(|last| last.distance(from) < 1e-9) => piece.push(to),
                _ => pieces.push(vec![from, to]),
            }
        }
        pieces
    }
}

/// A rectangle turned about its centre: what a label covers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Label {
    pub(crate) centre: Point,
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Clockwise as seen, radians.
    pub(crate) angle: f64,
}

impl Label {
    /// A point in the label's own directions, from its centre.
    fn own(&self, at: Point) -> Point {
        let (sin, cos) = (libm::sin(self.angle), libm::cos(self.angle));
        let (dx, dy) = (at.x - self.centre.x, at.y - self.centre.y);
        Point::new(dx * cos + dy * sin, dy * cos - dx * sin)
    }
    fn at_rest(&self) -> Rectangle {
        let (x, y) = (self.width / 2.0, self.height / 2.0);
        Rectangle { left: -x, top: -y, right: x, bottom: y }
    }
    fn corners(&self) -> [Point; 4] {
        let (sin, cos) = (libm::sin(self.angle), libm::cos(self.angle));
        let (x, y) = (self.width / 2.0, self.height / 2.0);
        [(-x, -y), (x, -y), (x, y), (-x, y)]
            .map(|(x, y)| Point::new(self.centre.x + x * cos - y * sin, self.centre.y + x * sin + y * cos))
    }
    pub(crate) fn crossed_by(&self, from: Point, to: Point) -> bool {
        self.at_rest().clip(self.own(from), self.own(to)).is_some()
    }
    pub(crate) fn inside(&self, room: &Rectangle) -> bool {
        let room = room.inset(2.0);
        self.corners().into_iter().all(|corner| room.holds(corner))
    }
    /// Whether two share a point: no side of either parts them.
    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        !self.parted_from(other) && !other.parted_from(self)
    }
    fn parted_from(&self, other: &Self) -> bool {
        let corners = other.corners().map(|corner| self.own(corner));
        let rest = self.at_rest();
        corners.iter().all(|c| c.x < rest.left)
            || corners.iter().all(|c| c.x > rest.right)
            || corners.iter().all(|c| c.y < rest.top)
            || corners.iter().all(|c| c.y > rest.bottom)
    }
}

/// Where on a polyline, `distance` from its start; the ends where it is not that long.
pub(crate) fn along(line: &[Point], distance: f64) -> Option<Point> {
    let mut left = distance.max(0.0);
    for (from, to) in line.iter().zip(line.iter().skip(1)) {
        let length = from.distance(*to);
        if left <= length && length > 0.0 {
            return Some(from.to(*to, left / length));
        }
        left -= length;
    }
    line.last().copied()
}

pub(crate) fn length(line: &[Point]) -> f64 {
    line.iter().zip(line.iter().skip(1)).map(|(from, to)| from.distance(*to)).sum()
}
