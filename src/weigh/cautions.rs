//! Cautions that the catalogue calls for, each once, with the portraits concerned.

use super::Weighing;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::caution;
use crate::record::caution::Caution;
use crate::record::caution::Circumstances;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;

/// One caution that is called for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CalledCaution {
    /// Its stable number: C for things, L for law and people.
    pub id: Cow<'static, str>,
    /// What it is about, in two or three words.
    pub about: Cow<'static, str>,
    /// The text.
    pub text: Cow<'static, str>,
    /// The portraits that call for it; none when the whole collection does.
    pub portraits: Vec<PortraitNumber>,
}

impl Weighing {
    /// Returns every caution that some portrait or the whole collection calls for, in the order of the table.
    #[must_use]
    pub fn cautions(&self) -> Vec<CalledCaution> {
        let circumstances = Circumstances {
            audience: None,
            year: i32::try_from(self.as_of.year()).ok(),
        };
        let collection = self.collection();
        let of_all = caution::collection_cautions(collection, &circumstances);
        let mut portraits: Vec<Vec<PortraitNumber>> = vec![Vec::new(); caution::all().len()];
        let register = Register::of(collection);
        for portrait in &collection.portraits {
            let calls = caution::cautions_in(&register, portrait, &circumstances);
            for (one, numbers) in caution::all().iter().zip(&mut portraits) {
                if calls.contains(&one) {
                    numbers.push(portrait.number.clone());
                }
            }
        }
        caution::all()
            .iter()
            .zip(portraits)
            .filter(|(one, numbers)| !numbers.is_empty() || of_all.contains(one))
            .map(|(one, numbers)| told(one, numbers))
            .collect()
    }
}

fn told(caution: &'static Caution, portraits: Vec<PortraitNumber>) -> CalledCaution {
    CalledCaution {
        id: Cow::Borrowed(caution.id),
        about: Cow::Borrowed(caution.about),
        text: Cow::Borrowed(caution.text),
        portraits,
    }
}
