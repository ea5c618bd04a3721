//! Trouble codes of the car that no test walked so far is for.

use super::job::Job;

impl Job {
    /// The codes that the job was opened with and those that the control unit had stored or pending, each once, without
    /// those that a flow walked on this job answers. Empty as long as no flow was begun: then nothing was tested at all.
    pub fn codes_left(&self) -> Vec<&str> {
        if self.runs.is_empty() {
            return Vec::new();
        }
        let given = self.opening.iter().flat_map(|opening| &opening.codes);
        let saved = self.codes.iter();
        let saved = saved.flat_map(|codes| codes.stored.iter().chain(&codes.pending));
        let mut left: Vec<&str> = Vec::new();
        for code in given.chain(saved).map(|code| code.trim()) {
            let is = |other: &str| other.eq_ignore_ascii_case(code);
            let mut answered = self.runs.iter().flat_map(|run| &run.flow.answers.codes);
            if !code.is_empty() && !left.iter().any(|known| is(known)) && !answered.any(|c| is(c)) {
                left.push(code);
            }
        }
        left
    }
}
