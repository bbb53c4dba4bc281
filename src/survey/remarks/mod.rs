//! What is odd about the pictures and their rows.

mod alike;
mod quality;
mod same;
mod views;

use super::pictures::Front;
use super::seen::Survey;
use crate::record::Collection;

/// Notes what is odd. `before` is the catalogue as it was.
pub(super) fn remark(survey: &mut Survey, before: &Collection, fronts: &[Front]) {
    let mut concerns = std::mem::take(&mut survey.concerns);
    same::same_files(&survey.files, &mut concerns);
    same::same_pictures(&survey.files, &mut concerns);
    same::perhaps_one_negative(fronts, &survey.files, &mut concerns);
    views::missing(&survey.collection, &mut concerns);
    views::several_fronts(&survey.collection, before, &mut concerns);
    quality::resolution(&survey.collection, &survey.files, &mut concerns);
    quality::grey(&survey.collection, &survey.files, &mut concerns);
    survey.concerns = concerns;
}
