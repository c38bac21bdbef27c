//! A line cut into dashes, for the painter that has none.

use geo::Coord;

/// The dashes of `line`; `dashes` are lengths of dash and gap by turns.
#[must_use]
pub fn dashed(line: &[Coord<f64>], dashes: &[f64]) -> Vec<Vec<Coord<f64>>> {
    let total: f64 = dashes.iter().sum();
    if dashes.is_empty() || total <= 0.0 {
        return vec![line.to_vec()];
    }
    let mut parts = Vec::new();
    let (mut index, mut left) = (0, dashes[0]);
    let mut part: Vec<Coord<f64>> = line.first().copied().into_iter().collect();
    for pair in line.windows(2) {
        let step = pair[1] - pair[0];
        let length = step.x.hypot(step.y);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let here = pair[0] + step * (done / length);
            if index % 2 == 0 {
                part.push(here);
                parts.push(std::mem::take(&mut part));
            } else {
                part = vec![here];
            }
            index = (index + 1) % dashes.len();
            left = dashes[index];
        }
        left -= length - done;
        if index % 2 == 0 {
            part.push(pair[1]);
        }
    }
    if part.len() > 1 {
        parts.push(part);
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::super::xy;
    use super::*;

    #[test]
    fn dashes_run_on_round_corners() {
        let parts = dashed(&[xy(0.0, 0.0), xy(5.0, 0.0), xy(5.0, 7.0)], &[4.0, 2.0]);
        assert_eq!(
            parts,
            [
                vec![xy(0.0, 0.0), xy(4.0, 0.0)],
                vec![xy(5.0, 1.0), xy(5.0, 5.0)],
            ]
        );
    }
}
