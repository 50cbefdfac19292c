//! Published figures: what others have worked out and printed, met to the digits they give. The data lie in
//! `fixtures/published`, each file with its source.

mod anova;
