//! Why a flight cannot be simulated.

/// A flight that cannot be simulated.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SimulateError {
    /// The plan has no search legs.
    #[error("the plan has no search legs")]
    NoLegs,
    /// No leg would be flown.
    #[error("no search leg is left to fly")]
    NothingFlown,
    /// There is no such leg.
    #[error("there is no search leg {number}")]
    NoSuchLeg {
        /// The number asked for.
        number: u32,
        /// What legs there are.
        legs: String,
    },
    /// The leg is not flown in this scenario.
    #[error("search leg {number} is not flown, so nothing can happen on it")]
    LegNotFlown {
        /// The leg.
        number: u32,
    },
    /// A quantity is outside what can be simulated.
    #[error("a {what} of {} {unit} cannot be simulated", short(*.value))]
    OutOfRange {
        /// Which quantity.
        what: String,
        /// The unit of the numbers.
        unit: &'static str,
        /// What was given.
        value: f64,
        /// Least value accepted.
        least: f64,
        /// Greatest value accepted.
        most: f64,
    },
    /// No line lies midway between two legs.
    #[error("no leg can be flown midway between legs {first} and {second}")]
    NoLegBetween {
        /// One leg.
        first: String,
        /// The other.
        second: String,
    },
    /// The last leg has no neighbour to lie an additional leg between.
    #[error("no search leg follows leg {number}, so none can be flown between")]
    NoLegAfter {
        /// The leg.
        number: u32,
    },
    /// The aircraft is not in the area where it is to leave it.
    #[error("leg {number} is not inside the area there, so the area cannot be left from it")]
    NotInArea {
        /// The leg.
        number: u32,
    },
    /// The flight does not end.
    #[error("the flight would take longer than {hours:.0} hours")]
    TooLong {
        /// The limit that was met.
        hours: f64,
    },
}

impl SimulateError {
    /// What would be accepted.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::NoLegs | Self::NothingFlown => "leave at least one search leg to fly".into(),
            Self::NoSuchLeg { legs, .. } => format!("the search legs are {legs}"),
            Self::LegNotFlown { .. } => "name a leg that is neither skipped nor left out".into(),
            Self::OutOfRange {
                unit, least, most, ..
            } => {
                format!("accepted: {} to {} {unit}", short(*least), short(*most))
            }
            Self::NoLegBetween { .. } => {
                "additional legs need neighbours that are parallel to within 10 degrees".into()
            }
            Self::NoLegAfter { .. } => "name any search leg but the last".into(),
            Self::NotInArea { .. } => "choose a place on the leg that lies inside the area".into(),
            Self::TooLong { .. } => "fly fewer or shorter legs, or fly faster".into(),
        }
    }
}

/// Up to three decimals, without zeros at the end.
fn short(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
