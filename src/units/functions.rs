//! The functions that a rulebook may use: one file a function, one row in the table below.
//!
//! All work on intervals and enclose every result, so a computed reading is as honest about its
//! uncertainty as one taken with a meter. Each names its published source.
//!
//! Must not know: rulebooks, readings, jobs; the pressure of the air outside comes as a parameter.

pub mod call;

mod atmospheric_pressure;
mod larger;
mod magnitude;
mod power;
mod saturation_pressure;
mod saturation_temperature;
mod smaller;
mod state_of_charge;
mod subcooling;
mod superheat;
mod voltage_drop;
mod wire_resistance;

#[cfg(test)]
mod tests;

pub use call::{
    Argument, ArgumentKind, Fluid, Function, FunctionProblem, Gives, OutOfRange, Parameter, Surroundings, Wants,
};

/// All functions in the order in which they are listed for authors.
static TABLE: &[Function] = &[
    wire_resistance::ROW,
    voltage_drop::ROW,
    power::ROW,
    saturation_temperature::ROW,
    saturation_temperature::DEW,
    saturation_temperature::BUBBLE,
    saturation_pressure::ROW,
    saturation_pressure::DEW,
    saturation_pressure::BUBBLE,
    superheat::ROW,
    subcooling::ROW,
    state_of_charge::ROW,
    state_of_charge::PAIR,
    atmospheric_pressure::ROW,
    larger::ROW,
    smaller::ROW,
    magnitude::ROW,
];

/// The function of this name, without regard to case and runs of spaces.
pub fn find(name: &str) -> Option<&'static Function> {
    let as_written = TABLE.iter().find(|function| function.name == name);
    as_written.or_else(|| {
        let wanted = folded(name);
        TABLE.iter().find(|function| folded(function.name) == wanted)
    })
}

/// All functions in the order of the table.
pub fn all() -> impl Iterator<Item = &'static Function> {
    TABLE.iter()
}

/// The names of all functions in the order of the table.
pub fn names() -> impl Iterator<Item = &'static str> {
    TABLE.iter().map(|function| function.name)
}

fn folded(name: &str) -> String {
    name.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}
