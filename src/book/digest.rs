//! What tells the texts of a book, and what is resolved from them, from every other.

use std::fmt;
use std::sync::{Arc, OnceLock};

use arcstr::ArcStr;
use sha2::{Digest as _, Sha256};

/// SHA-256 (FIPS 180-4) over the texts of a book, used ones first, a zero byte after each. It is reckoned when it is first
/// asked for: many a question to a book never asks.
#[derive(Clone, Default)]
pub struct Digest(Arc<Reckoned>);

#[derive(Default)]
struct Reckoned {
    of: Of,
    said: OnceLock<String>,
}

enum Of {
    Texts(Vec<ArcStr>),
    Part(Digest, String),
}

impl Default for Of {
    fn default() -> Self {
        Of::Texts(Vec::new())
    }
}

impl Digest {
    /// That of these texts.
    pub fn of(texts: Vec<ArcStr>) -> Self {
        Self(Arc::new(Reckoned { of: Of::Texts(texts), said: OnceLock::new() }))
    }

    /// That of a part of what the texts settle, which these words name.
    pub fn part(&self, words: String) -> Self {
        Self(Arc::new(Reckoned { of: Of::Part(self.clone(), words), said: OnceLock::new() }))
    }

    /// In lower-case hex, 64 digits; of a part, its words follow.
    pub fn hex(&self) -> &str {
        self.0.said.get_or_init(|| match &self.0.of {
            Of::Texts(texts) => digest(texts),
            Of::Part(whole, words) => format!("{}|{words}", whole.hex()),
        })
    }
}

fn digest(texts: &[ArcStr]) -> String {
    let mut hasher = Sha256::new();
    for text in texts {
        hasher.update(text.as_bytes());
        hasher.update([0]);
    }
    hasher.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

impl PartialEq for Digest {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.hex() == other.hex()
    }
}

impl fmt::Debug for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.hex())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_that_of_the_standard() {
        // FIPS 180-4 says 512-bit blocks; the value is that of `printf 'abc\0' | sha256sum` (GNU coreutils).
        let digest = Digest::of(vec!["abc".into()]);
        assert_eq!(digest.hex(), "dc1114cd074914bd872cc1f9a23ec910ea2203bc79779ab2e17da25782a624fc");
        assert_eq!(digest, Digest::of(vec!["abc".into()]));
        assert_ne!(digest, Digest::of(vec!["ab".into(), "c".into()]));
        assert_ne!(digest.part("one".into()), digest.part("other".into()));
    }
}
