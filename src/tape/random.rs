//! Random numbers from a seed.

use std::f64::consts::TAU;

/// A generator of random numbers: SplitMix64 (Steele, Lea and Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014; constants from memory). Not for secrets.
#[derive(Clone, Debug)]
pub struct Random {
    state: u64,
    /// The second of the two normal numbers that are drawn together.
    spare: Option<f64>,
}

impl Random {
    /// The generator of one purpose. Purposes do not share numbers, so that to change one thing
    /// that is random leaves the others as they are.
    pub fn new(seed: u32, purpose: &str) -> Self {
        let purpose = purpose.bytes().fold(0, |h, b| mix(h ^ u64::from(b)));
        Self {
            state: mix(purpose ^ u64::from(seed)),
            spare: None,
        }
    }

    /// 64 random bits.
    pub fn next_u64(&mut self) -> u64 {
        let bits = mix(self.state);
        self.state = self.state.wrapping_add(STEP);
        bits
    }

    /// A number from 0 up to, but not including, 1.
    pub fn uniform(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A normal number of mean 0 and variance 1 (the method of Box and Muller, 1958).
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        // From 0 exclusive, so that the logarithm is finite.
        let radius = (-2.0 * (1.0 - self.uniform()).ln()).sqrt();
        let (sine, cosine) = (TAU * self.uniform()).sin_cos();
        self.spare = Some(radius * sine);
        radius * cosine
    }
}

/// 2^64 over the golden ratio, made odd.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// One step of SplitMix64 from a state.
fn mix(state: u64) -> u64 {
    let z = state.wrapping_add(STEP);
    let z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first numbers of SplitMix64 from the state 1234567 (from memory).
    #[test]
    fn the_generator_is_the_published_one() {
        let mut random = Random {
            state: 1_234_567,
            spare: None,
        };
        assert_eq!(random.next_u64(), 6_457_827_717_110_365_317);
        assert_eq!(random.next_u64(), 3_203_168_211_198_807_973);
        assert_eq!(random.next_u64(), 9_817_491_932_198_370_423);
    }

    /// Moments of the normal distribution: 0, 1, 0, 3. The bounds are five standard errors.
    #[test]
    fn normal_numbers_have_the_moments_of_their_distribution() {
        let mut random = Random::new(1, "test");
        let count = 200_000;
        let mut moments = [0.0; 4];
        for _ in 0..count {
            let x = random.normal();
            (0..4).for_each(|n| moments[n] += x.powi(n as i32 + 1) / f64::from(count));
        }
        let variances = [1.0, 2.0, 15.0, 96.0];
        for (n, wanted) in [0.0, 1.0, 0.0, 3.0].into_iter().enumerate() {
            let bound = 5.0 * f64::sqrt(variances[n] / f64::from(count));
            assert!((moments[n] - wanted).abs() < bound, "{moments:?}");
        }
    }

    #[test]
    fn purposes_and_seeds_do_not_share_numbers() {
        let first = |seed, purpose| Random::new(seed, purpose).next_u64();
        assert_eq!(first(1, "hum"), first(1, "hum"));
        assert_ne!(first(1, "hum"), first(2, "hum"));
        assert_ne!(first(1, "hum"), first(1, "wow"));
    }
}
