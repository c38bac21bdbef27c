//! How the sweep width came about, in words, for every report alike.

use super::format::{ft, nm};
use crate::detection::SweepWidth;
use crate::detection::sweep_width::{Factor, Status};
use crate::units::Length;

/// The width step by step, one line a step: `2.40 NM x 0.5 = 1.20 NM: terrain, hilly; …`.
#[must_use]
pub fn steps(width: &SweepWidth) -> Vec<String> {
    let Some(uncorrected) = width.uncorrected else {
        return vec![format!("W {}: {}", nm(width.width, 3), range_of(width))];
    };
    let entered = width.entered_with.as_deref().unwrap_or_default();
    let mut lines = vec![format!(
        "{}: {entered}; {}{}",
        nm(uncorrected, 3),
        width.source,
        known(width.status)
    )];
    let mut so_far = uncorrected;
    for factor in &width.factors {
        lines.push(step(so_far, factor));
        so_far = factor.result;
    }
    lines.push(format!("W {}: {}", nm(width.width, 3), range_of(width)));
    lines.extend(width.marks.iter().cloned());
    lines
}

fn step(before: Length, factor: &Factor) -> String {
    format!(
        "{} x {} = {}: {}, {}; {}{}",
        nm(before, 3),
        number(factor.value),
        nm(factor.result, 3),
        factor.what,
        factor.because,
        factor.source,
        known(Some(factor.status))
    )
}

fn known(status: Option<Status>) -> String {
    status.map_or_else(String::new, |status| format!(" ({})", status.name()))
}

/// Two decimals at least, three where they say more: `0.5`, `0.25`, `1.067`.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let short = text.trim_end_matches('0');
    short.strip_suffix('.').unwrap_or(short).to_owned()
}

/// From where to where it may lie.
#[must_use]
pub fn range(width: &SweepWidth) -> String {
    match (width.low, width.high) {
        (Some(low), Some(high)) => format!("{} to {}", nm(low, 2), nm(high, 2)),
        _ => "no spread stated".to_owned(),
    }
}

fn range_of(width: &SweepWidth) -> String {
    if width.uncorrected.is_some() {
        return format!("{} by the table's spread", range(width));
    }
    format!("{}, {}", width.source, range(width))
}

/// Which form of the inverse-cube law was used.
#[must_use]
pub fn height(search_height: Option<Length>) -> String {
    match search_height {
        Some(height) => format!(
            "The inverse-cube law keeps the height of {} above the surface.",
            ft(height)
        ),
        None => "The inverse-cube law neglects the height: no search height is tasked.".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::detection::sweep_width::{
        Conditions, FactorTables, Surface, SurfaceConditions, WidthTable,
    };
    use crate::units::Speed;

    #[test]
    fn every_factor_is_shown_with_its_source() {
        let conditions = Conditions {
            object: "vehicle".into(),
            search_height: Length::from_ft(500.0),
            visibility: Length::from_m(20_000.0),
            ground_speed: Speed::from_kt(90.0),
            surface: SurfaceConditions::Land {
                terrain: "hilly".into(),
            },
            fatigued: true,
        };
        let table = WidthTable::built_in(Surface::Land).unwrap();
        let width = SweepWidth::from_table(&table, &FactorTables::built_in().unwrap(), &conditions)
            .unwrap();
        let lines = steps(&width);
        assert!(
            lines[0]
                .starts_with("1.300 NM: vehicle over land, height 500 ft, visibility 10.8 NM; "),
            "{}",
            lines[0]
        );
        assert!(
            lines[1].starts_with("1.300 NM x 0.7 = 0.910 NM: terrain, hilly; ")
                && lines[1].ends_with("check against your manual)"),
            "{}",
            lines[1]
        );
        assert!(
            lines[2].starts_with("0.910 NM x 0.9 = 0.819 NM: fatigue, ")
                && lines[2].ends_with("(read in the document)"),
            "{}",
            lines[2]
        );
        // Half a step of 0.1 either way, times 0.63.
        assert_eq!(
            lines[3],
            "W 0.819 NM: 0.79 NM to 0.85 NM by the table's spread"
        );
        assert!(
            lines[4].contains("check against your manual"),
            "{}",
            lines[4]
        );
    }

    #[test]
    fn a_width_that_was_given_says_so() {
        let of = |spread| steps(&SweepWidth::given(Length::from_nm(0.5), spread));
        assert_eq!(
            of(None),
            ["W 0.500 NM: given in the tasking, no spread stated"]
        );
        assert_eq!(
            of(Some(0.2)),
            ["W 0.500 NM: given in the tasking, 0.40 NM to 0.60 NM"]
        );
    }
}
