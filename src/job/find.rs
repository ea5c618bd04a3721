//! One job by what a person calls it: its number, its name or the beginning of it, or the plate.

use super::line::one_case;
use super::store::{JobLine, Store, StoreError};

/// Why no single job is meant.
#[derive(Debug, thiserror::Error)]
pub enum FindError {
    /// None is called so.
    #[error("no job is called `{0}`; `ruleout jobs` lists them all")]
    None(String),
    /// Several are.
    #[error("`{asked}` can mean {}; give the number", several(.jobs))]
    Several {
        /// What was asked for.
        asked: String,
        /// The jobs that it can mean, newest activity first.
        jobs: Vec<JobLine>,
    },
    /// The store would not.
    #[error(transparent)]
    Store(#[from] StoreError),
}

fn several(jobs: &[JobLine]) -> String {
    const MOST: usize = 6;
    let mut names: Vec<String> = jobs
        .iter()
        .take(MOST)
        .map(|job| format!("job {} ({}, {})", job.number, job.plate, job.state))
        .collect();
    if jobs.len() > MOST {
        names.push(format!("{} more", jobs.len() - MOST));
    }
    names.join(" or ")
}

/// The job that a person means. A number in use means that job and nothing else; then come plates
/// (in any case, with or without blanks and hyphens) and beginnings of the job's UUID.
///
/// # Errors
/// [`FindError`], if it is not exactly one.
pub fn find(store: &dyn Store, asked: &str) -> Result<JobLine, FindError> {
    let jobs = store.search("")?;
    let name = asked.trim();
    let number = name.strip_prefix("job ").unwrap_or(name);
    if let Ok(number) = number.trim().parse::<u64>()
        && let Some(job) = jobs.iter().find(|job| job.number == number)
    {
        return Ok(job.clone());
    }
    let (plate, start) = (bare_plate(name), name.to_ascii_lowercase());
    // Few digits alone are meant as a number, and this store has no job of that number.
    let is_start = !start.is_empty() && (start.len() >= 8 || !digits_only(&start));
    let mut hits: Vec<JobLine> = jobs
        .into_iter()
        .filter(|job| {
            (!plate.is_empty() && bare_plate(&job.plate) == plate)
                || (is_start && job.id.to_string().starts_with(&start))
        })
        .collect();
    match hits.len() {
        0 => Err(FindError::None(asked.to_owned())),
        1 => Ok(hits.remove(0)),
        _ => Err(FindError::Several {
            asked: asked.to_owned(),
            jobs: hits,
        }),
    }
}

fn bare_plate(text: &str) -> String {
    one_case(text)
        .chars()
        .filter(|c| c.is_alphanumeric())
        .collect()
}

fn digits_only(text: &str) -> bool {
    text.bytes().all(|c| c.is_ascii_digit())
}
