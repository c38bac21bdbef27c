//! The search file: what several sorties search together.

use super::area::AreaTask;
use crate::geodesy::Position;
use crate::input::InputFile;
use crate::units::Speed;

/// A checked search file.
#[derive(Clone, Debug)]
pub struct SearchTask {
    /// The file it came from.
    pub source: InputFile,
    /// Name of the search; the result folder is called after it.
    pub name: String,
    /// POD wanted over the ground; the targets of the sorties' own taskings, strip by strip, if `None`.
    pub target_pod: Option<f64>,
    /// Where a re-fly starts from and returns to.
    pub base: Option<Position>,
    /// Ground speed of a re-fly; that of the last sortie if `None`.
    pub ground_speed: Option<Speed>,
    /// Longest re-fly, seconds, with the transits.
    pub flight_time_s: Option<f64>,
    /// The ground; the areas of all sorties if none is given.
    pub sub_areas: Vec<SubAreaTask>,
}

/// A sub-area as given.
#[derive(Clone, Debug, PartialEq)]
pub struct SubAreaTask {
    /// Its name.
    pub name: String,
    /// Its ground.
    pub area: AreaTask,
    /// Probability that the object is in it (POC).
    pub poc: Option<f64>,
}
