//! The flight model behind `rehearse`.
