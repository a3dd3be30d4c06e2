//! Facts stated rather than observed: worked cases and experiments.

use std::collections::BTreeMap;
use std::rc::Rc;

use super::{AskKind, Fact, FactSource, Missing, Value, def};

/// Facts by name; a fact that is not stated is unknown.
#[derive(Debug, Clone, Default)]
pub struct FactTable(BTreeMap<String, Rc<Fact>>);

impl FactTable {
    /// States a fact.
    pub fn state(&mut self, name: impl Into<String>, value: Value) {
        let name = name.into();
        let missing = match value {
            Value::Unknown => vec![Missing::new(AskKind::Ask, format!("Find out {name}."))],
            _ => Vec::new(),
        };
        self.0.insert(name, Rc::new(Fact { value, from: Vec::new(), note: String::new(), missing }));
    }
}

impl FactSource for FactTable {
    fn fact(&self, name: &str) -> Option<Rc<Fact>> {
        def(name)?;
        let unknown = || {
            let missing = vec![Missing::new(AskKind::Ask, format!("Find out {name}."))];
            Rc::new(Fact { value: Value::Unknown, from: Vec::new(), note: String::new(), missing })
        };
        Some(self.0.get(name).cloned().unwrap_or_else(unknown))
    }
}
