//! Checking a call and carrying it out.

use super::{Argument, ArgumentKind, Body, Fluid, Function, FunctionProblem, Gives, Parameter, Surroundings, Wants};
use crate::units::{Dimension, Exact, Interval, Role};

impl Function {
    /// What the function gives for such arguments.
    ///
    /// # Errors
    /// Too many or too few arguments, one of a wrong dimension, an unknown refrigerant.
    pub fn check(&self, arguments: &[ArgumentKind]) -> Result<Dimension, FunctionProblem> {
        if arguments.len() > self.parameters.len() || arguments.len() < self.needed() {
            return Err(self.wrong_count(arguments.len()));
        }
        let first = arguments.iter().find_map(|argument| match argument {
            ArgumentKind::Value(dimension) => Some(*dimension),
            ArgumentKind::Word(_) => None,
        });
        for (parameter, argument) in self.parameters.iter().zip(arguments) {
            self.check_one(parameter, argument, first)?;
        }
        match self.gives {
            Gives::Always(dimension) => Ok(dimension),
            Gives::LikeFirst => first.ok_or_else(|| self.wrong_count(arguments.len())),
        }
    }

    /// The result in base units, enclosing every result that the arguments allow.
    ///
    /// # Errors
    /// As [`Function::check`], and an argument that lies wholly outside the valid range.
    pub fn evaluate(&self, arguments: &[Argument], around: &Surroundings) -> Result<Interval, FunctionProblem> {
        let kinds: Vec<ArgumentKind> = arguments.iter().map(Argument::kind).collect();
        self.check(&kinds)?;
        let mut values: Vec<Interval> = Vec::with_capacity(self.parameters.len());
        let mut fluid = None;
        for (place, parameter) in self.parameters.iter().enumerate() {
            match arguments.get(place) {
                Some(Argument::Word(word)) => fluid = Fluid::find(word),
                Some(Argument::Value { interval, dimension }) => {
                    let joined = parameter.wants == Wants::Pressure && dimension.role == Role::Gauge;
                    values.push(if joined { around.to_absolute(interval) } else { interval.clone() });
                }
                None => values.extend(parameter.default_value()),
            }
        }
        let outcome = match (self.body, values.as_slice(), fluid) {
            (Body::One(body), [a], _) => body(a),
            (Body::Two(body), [a, b], _) => body(a, b),
            (Body::Three(body), [a, b, c], _) => body(a, b, c),
            (Body::FluidOne(body), [a], Some(fluid)) => body(fluid, a),
            (Body::FluidTwo(body), [a, b], Some(fluid)) => body(fluid, a, b),
            _ => return Err(self.wrong_count(arguments.len())),
        };
        outcome.map_err(|out| FunctionProblem::OutOfRange { function: self.name, out })
    }

    /// How it is called: `wire resistance(length, area[, temperature])`.
    pub fn signature(&self) -> String {
        let mut text = format!("{}(", self.name);
        for (place, parameter) in self.parameters.iter().enumerate() {
            let comma = if place == 0 { "" } else { ", " };
            let written = format!("{comma}{}", parameter.name);
            text.push_str(&if parameter.default.is_some() { format!("[{written}]") } else { written });
        }
        text.push(')');
        text
    }

    fn needed(&self) -> usize {
        self.parameters.iter().filter(|parameter| parameter.default.is_none()).count()
    }

    fn wrong_count(&self, found: usize) -> FunctionProblem {
        FunctionProblem::WrongCount { function: self.name, signature: self.signature(), found }
    }

    fn check_one(
        &self,
        parameter: &Parameter,
        argument: &ArgumentKind,
        first: Option<Dimension>,
    ) -> Result<(), FunctionProblem> {
        let wrong = |found: String, fix: Option<String>| FunctionProblem::WrongArgument {
            function: self.name,
            parameter: parameter.name,
            expected: parameter.expected(first),
            found,
            fix,
        };
        let found = match (argument, parameter.wants) {
            (ArgumentKind::Word(word), Wants::Refrigerant) => {
                return Fluid::find(word).map(|_| ()).ok_or_else(|| wrong(format!("`{word}`"), None));
            }
            (ArgumentKind::Word(word), _) => return Err(wrong(format!("the word `{word}`"), None)),
            (ArgumentKind::Value(dimension), Wants::Refrigerant) => {
                return Err(wrong(dimension.a_noun(), None));
            }
            (ArgumentKind::Value(dimension), _) => *dimension,
        };
        let needed = match parameter.wants {
            Wants::Amount(dimension) => dimension,
            Wants::Pressure if found == Dimension::GAUGE_PRESSURE => found,
            Wants::Pressure => Dimension::ABSOLUTE_PRESSURE,
            Wants::LikeFirst => first.unwrap_or(found),
            Wants::Size if found.role == Role::Temperature => {
                return Err(wrong(found.a_noun(), Some("a temperature difference is written in K".to_owned())));
            }
            Wants::Any | Wants::Size | Wants::Refrigerant => found,
        };
        needed.compare(found).map_err(|clash| wrong(found.a_noun(), clash.fix()))
    }
}

impl Parameter {
    /// What it takes, in words.
    fn expected(&self, first: Option<Dimension>) -> String {
        match self.wants {
            Wants::Amount(dimension) => dimension.a_noun(),
            Wants::Pressure => "a gauge or absolute pressure".to_owned(),
            Wants::Refrigerant => format!("a refrigerant, {}", Fluid::names()),
            Wants::LikeFirst => first.map_or_else(|| "a value".to_owned(), Dimension::a_noun),
            Wants::Any => "a value".to_owned(),
            Wants::Size => "an amount or a difference".to_owned(),
        }
    }

    fn default_value(&self) -> Option<Interval> {
        self.default.and_then(|(above, below)| Exact::ratio(above, below)).map(Interval::point)
    }
}
