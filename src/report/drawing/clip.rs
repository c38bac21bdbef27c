//! Lines cut at a rectangle, after Y.-D. Liang and B. A. Barsky, "A new concept and method for line
//! clipping", ACM Transactions on Graphics 3 (1984) 1-22, DOI 10.1145/357332.357333.

use geo::{Coord, Rect};

/// The parts of `line` inside `frame`, in order.
#[must_use]
pub fn clipped(line: &[Coord<f64>], frame: Rect<f64>) -> Vec<Vec<Coord<f64>>> {
    let mut parts: Vec<Vec<Coord<f64>>> = Vec::new();
    for pair in line.windows(2) {
        let Some((from, to)) = segment(pair[0], pair[1], frame) else {
            continue;
        };
        match parts.last_mut() {
            Some(part) if part.last() == Some(&from) => part.push(to),
            _ => parts.push(vec![from, to]),
        }
    }
    parts
}

/// The part of one segment inside `frame`. Ends inside are returned as they are.
fn segment(from: Coord<f64>, to: Coord<f64>, frame: Rect<f64>) -> Option<(Coord<f64>, Coord<f64>)> {
    let step = to - from;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (-step.x, from.x - frame.min().x),
        (step.x, frame.max().x - from.x),
        (-step.y, from.y - frame.min().y),
        (step.y, frame.max().y - from.y),
    ];
    for (towards, room) in edges {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if towards < 0.0 {
            enter = enter.max(room / towards);
        } else {
            leave = leave.min(room / towards);
        }
    }
    if enter > leave {
        return None;
    }
    let start = if enter > 0.0 {
        from + step * enter
    } else {
        from
    };
    let end = if leave < 1.0 { from + step * leave } else { to };
    Some((start, end))
}

#[cfg(test)]
mod tests {
    use super::super::xy;
    use super::*;

    #[test]
    fn a_line_that_leaves_and_returns_makes_two_parts() {
        let frame = Rect::new(xy(0.0, 0.0), xy(10.0, 10.0));
        let line = [xy(5.0, 5.0), xy(15.0, 5.0), xy(15.0, 8.0), xy(-5.0, 8.0)];
        assert_eq!(
            clipped(&line, frame),
            [
                vec![xy(5.0, 5.0), xy(10.0, 5.0)],
                vec![xy(10.0, 8.0), xy(0.0, 8.0)]
            ]
        );
        assert!(clipped(&[xy(-1.0, 12.0), xy(12.0, 12.0)], frame).is_empty());
        assert!(clipped(&[xy(-3.0, 5.0), xy(5.0, 20.0)], frame).is_empty());
    }

    #[test]
    fn a_line_inside_stays_whole() {
        let frame = Rect::new(xy(0.0, 0.0), xy(10.0, 10.0));
        let line = vec![xy(1.0, 1.0), xy(2.0, 7.0), xy(9.0, 9.0)];
        assert_eq!(clipped(&line, frame), [line]);
    }
}
