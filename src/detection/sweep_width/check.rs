//! What makes a table of sweep widths sound.

use super::corrections;
use super::factors::FactorTables;
use super::table::{HeightRows, WidthTable};
use toml::Spanned;

impl WidthTable {
    /// What is wrong with it, and where.
    pub(super) fn check(&self, factors: &FactorTables) -> Result<(), Fault> {
        rising(
            self.visibility.get_ref(),
            self.visibility.span().start,
            "visibilities",
        )?;
        let heights = self.heights.get_ref();
        let feet: Vec<Spanned<f64>> = heights.iter().map(|rows| rows.feet.clone()).collect();
        rising(&feet, self.heights.span().start, "heights")?;
        let step = *self.step.get_ref();
        if !(step.is_finite() && step >= 0.0) {
            return Err(Fault::new(
                self.step.span().start,
                "the rounding step must be a number of NM, not negative",
                "such as step = 0.1",
            ));
        }
        for object in self.objects.values() {
            corrections::check(self.over, object.get_ref(), factors)
                .map_err(|(problem, wanted)| Fault::new(object.span().start, problem, wanted))?;
        }
        heights.iter().try_for_each(|rows| self.check_rows(rows))?;
        for doubt in &self.doubts {
            let at = doubt.span().start;
            let doubt = doubt.get_ref();
            let column = self
                .visibility
                .get_ref()
                .iter()
                .any(|v| *v.get_ref() == doubt.visibility);
            let row = feet.iter().any(|f| *f.get_ref() == doubt.feet);
            let of_a_cell = column && row && self.objects.contains_key(&doubt.object);
            let sound = doubt.readings.iter().all(|r| r.is_finite() && *r >= 0.0);
            if !(of_a_cell && sound) {
                return Err(Fault::new(
                    at,
                    "a doubt belongs to no cell of the table",
                    "`feet`, `object` and `visibility` are those of a cell, `readings` are in NM",
                ));
            }
        }
        Ok(())
    }

    fn check_rows(&self, rows: &HeightRows) -> Result<(), Fault> {
        let columns = self.visibility.get_ref().len();
        for (name, row) in rows.widths.get_ref() {
            let at = row.span().start;
            if !self.objects.contains_key(name) {
                return Err(Fault::new(
                    at,
                    format!("\"{name}\" is not among [objects]"),
                    "every row belongs to an object listed there",
                ));
            }
            if row.get_ref().len() != columns {
                return Err(Fault::new(
                    at,
                    format!(
                        "\"{name}\" has {} widths for {columns} visibilities",
                        row.get_ref().len()
                    ),
                    "give one width per visibility; \"-\" where the table has none",
                ));
            }
            let wrong = row.get_ref().iter().find(|cell| {
                cell.get_ref()
                    .0
                    .is_some_and(|w| !(w.is_finite() && w >= 0.0))
            });
            if let Some(cell) = wrong {
                return Err(Fault::new(
                    cell.span().start,
                    format!("a sweep width of \"{name}\" is negative or not a number"),
                    "widths are in NM, 0 or more; \"-\" where the table has none",
                ));
            }
        }
        match self
            .objects
            .keys()
            .find(|name| !rows.widths.get_ref().contains_key(*name))
        {
            Some(name) => Err(Fault::new(
                rows.widths.span().start,
                format!("the rows for {} ft lack \"{name}\"", rows.feet.get_ref()),
                "every object has a row at every height; \"-\" where the table has no width",
            )),
            None => Ok(()),
        }
    }
}

/// A fault of a table and where it is, as an offset into the text.
pub(super) struct Fault {
    pub(super) at: usize,
    pub(super) problem: String,
    pub(super) wanted: String,
}

impl Fault {
    pub(super) fn new(at: usize, problem: impl Into<String>, wanted: impl Into<String>) -> Self {
        Self {
            at,
            problem: problem.into(),
            wanted: wanted.into(),
        }
    }
}

pub(super) fn rising(lines: &[Spanned<f64>], at: usize, what: &str) -> Result<(), Fault> {
    let wanted = format!("{what} are numbers of 0 or more, each greater than the one before");
    if lines.is_empty() {
        return Err(Fault::new(at, format!("there are no {what}"), wanted));
    }
    let mut last = -1.0;
    for line in lines {
        let value = *line.get_ref();
        if !(value.is_finite() && value >= 0.0 && value > last) {
            let problem = format!("the {what} do not rise at {value}");
            return Err(Fault::new(line.span().start, problem, wanted));
        }
        last = value;
    }
    Ok(())
}
