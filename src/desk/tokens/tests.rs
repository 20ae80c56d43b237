use jsonwebtoken::{DecodingKey, EncodingKey, encode};
use serde_json::{Value, json};

use super::*;

const NOW: i64 = 1_000_000;

fn at(seconds: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(seconds, 0).unwrap()
}

fn somebody() -> Holder {
    Holder {
        user_id: 41,
        session: "a-family".into(),
    }
}

/// A token that our own key signs over any header and claims.
fn signed(tokens: &Tokens, change: impl FnOnce(&mut Header, &mut Value)) -> String {
    let key = &tokens.keys[0];
    let mut header = Header {
        typ: Some(TYPE.into()),
        kid: Some(key.id.clone()),
        ..Header::new(Algorithm::HS256)
    };
    let mut claims = json!({ "iss": ISSUER, "aud": AUDIENCE, "sub": "41", "sid": "a-family", "iat": NOW, "nbf": NOW,
        "exp": NOW + 900, "jti": "1" });
    change(&mut header, &mut claims);
    encode(&header, &claims, &key.sign).unwrap()
}

#[test]
fn a_token_tells_its_holder_until_it_expires() {
    let tokens = Tokens::new(&[7; 32]);
    let token = tokens.issue(&somebody(), at(NOW)).unwrap();
    assert_eq!(tokens.holder(&token, at(NOW)), Ok(somebody()));
    assert_eq!(tokens.holder(&token, at(NOW + 899)), Ok(somebody()));
    assert_eq!(
        tokens.holder(&token, at(NOW + 900)),
        Err("the access token has expired")
    );
}

#[test]
fn keys_change_without_signing_anybody_out_and_an_old_key_that_is_gone_checks_nothing() {
    let old = Tokens::new(&[7; 32]);
    let token = old.issue(&somebody(), at(NOW)).unwrap();
    let refresh = old.refresh_token(old.newest(), "a-family", 3).unwrap();
    let both = Tokens::of(&[&[8; 32], &[7; 32]]);
    assert_eq!(both.holder(&token, at(NOW)), Ok(somebody()));
    assert_eq!(
        both.refresh_token(old.newest(), "a-family", 3),
        Some(refresh)
    );
    let new = both.issue(&somebody(), at(NOW)).unwrap();
    assert!(old.holder(&new, at(NOW)).is_err());

    let newest = Tokens::new(&[8; 32]);
    assert_eq!(newest.holder(&new, at(NOW)), Ok(somebody()));
    assert!(newest.holder(&token, at(NOW)).is_err());
    assert_eq!(newest.refresh_token(old.newest(), "a-family", 3), None);
}

#[test]
fn no_two_generations_or_families_share_a_refresh_token() {
    let tokens = Tokens::new(&[7; 32]);
    let of = |family: &str, generation| {
        tokens
            .refresh_token(tokens.newest(), family, generation)
            .unwrap()
    };
    let all = [of("a", 1), of("a", 2), of("a", 12), of("a1", 2), of("b", 1)];
    let different: std::collections::HashSet<_> = all.iter().collect();
    assert_eq!(different.len(), all.len());
    assert_eq!(of("a", 1), all[0]);
}

/// RFC 8725 section 3.1, the algorithm is pinned: neither "none" nor another family's is taken, whatever the header says.
#[test]
fn a_token_without_a_signature_or_of_another_algorithm_is_refused() {
    let tokens = Tokens::new(&[7; 32]);
    let mine = tokens.issue(&somebody(), at(NOW)).unwrap();
    let body = mine.split('.').nth(1).unwrap();
    let kid = tokens.newest();
    for alg in ["none", "None", "HS384", "RS256", "ES256"] {
        let header = json!({ "alg": alg, "typ": TYPE, "kid": kid }).to_string();
        for signature in ["", mine.rsplit('.').next().unwrap()] {
            let token = format!("{}.{body}.{signature}", URL_SAFE_NO_PAD.encode(&header));
            assert!(tokens.holder(&token, at(NOW)).is_err(), "{alg}");
        }
    }
    let other = signed(&tokens, |_, _| ());
    assert!(
        tokens.holder(&other, at(NOW)).is_ok(),
        "the test's own tokens hold where nothing is wrong"
    );
}

/// RFC 8725 sections 3.3 and 3.10: the signature is checked under the key named, and under no key that a token brings.
#[test]
fn a_token_of_another_key_or_with_a_key_swapped_in_is_refused() {
    let tokens = Tokens::of(&[&[7; 32], &[9; 32]]);
    let forged = Tokens::new(&[8; 32]).issue(&somebody(), at(NOW)).unwrap();
    assert!(tokens.holder(&forged, at(NOW)).is_err());
    let swapped = signed(&tokens, |header, _| {
        header.kid = Some(tokens.keys[1].id.clone());
    });
    assert!(tokens.holder(&swapped, at(NOW)).is_err());
    let unknown = signed(&tokens, |header, _| {
        header.kid = Some("../../etc/passwd".into());
    });
    assert!(tokens.holder(&unknown, at(NOW)).is_err());
    let nameless = signed(&tokens, |header, _| header.kid = None);
    assert!(tokens.holder(&nameless, at(NOW)).is_err());
    // The refresh tokens' key signs no access token.
    let key = &tokens.keys[0];
    let header = Header {
        typ: Some(TYPE.into()),
        kid: Some(key.id.clone()),
        ..Header::new(Algorithm::HS256)
    };
    let claims = json!({ "iss": ISSUER, "aud": AUDIENCE, "sub": "41", "sid": "x", "iat": NOW, "nbf": NOW, "exp": NOW + 900, "jti": "1" });
    let token = encode(&header, &claims, &key.refresh).unwrap();
    assert!(tokens.holder(&token, at(NOW)).is_err());
    let secret: &EncodingKey = &key.sign;
    assert!(encode(&header, &claims, secret).is_ok());
}

/// RFC 8725 sections 3.8, 3.9 and 3.11: issuer, subject, audience and type are checked, and the times.
#[test]
fn a_token_for_somebody_else_of_another_kind_or_another_time_is_refused() {
    let tokens = Tokens::new(&[7; 32]);
    let refused = |change: fn(&mut Header, &mut Value)| {
        let token = signed(&tokens, change);
        assert!(tokens.holder(&token, at(NOW)).is_err(), "{token}");
    };
    refused(|_, claims| claims["aud"] = json!("another-api"));
    refused(|_, claims| drop(claims.as_object_mut().unwrap().remove("aud")));
    refused(|_, claims| claims["iss"] = json!("another-issuer"));
    refused(|_, claims| claims["sub"] = json!("everybody"));
    refused(|_, claims| claims["exp"] = json!(NOW));
    refused(|_, claims| drop(claims.as_object_mut().unwrap().remove("exp")));
    refused(|_, claims| claims["nbf"] = json!(NOW + 60));
    refused(|header, _| header.typ = Some("JWT".into()));
    refused(|header, _| header.typ = None);
}

#[test]
fn the_clock_of_another_instance_may_go_a_little_ahead() {
    let tokens = Tokens::new(&[7; 32]);
    let token = tokens.issue(&somebody(), at(NOW + 20)).unwrap();
    assert_eq!(tokens.holder(&token, at(NOW)), Ok(somebody()));
}

/// Source: RFC 7515, appendix A.1 (HS256): the key, signing input and signature printed there.
#[test]
fn the_example_of_rfc_7515_a_1_verifies_and_a_changed_byte_does_not() {
    let key = URL_SAFE_NO_PAD
        .decode("AyM1SysPpbyDfgZld3umj1qzKObwVMkoqQ-EstJQLr_T-1qS0gZH75aKtMN3Yj0iPS4hcgUuTwjAzZr1Z9CAow")
        .unwrap();
    let input = "eyJ0eXAiOiJKV1QiLA0KICJhbGciOiJIUzI1NiJ9.eyJpc3MiOiJqb2UiLA0KICJleHAiOjEzMDA4MTkzODAsDQogImh0dHA6Ly9leGFtcGxlLmNvbS9pc19yb290Ijp0cnVlfQ";
    let signature = "dBjftJeZ4CVP-mB92K27uhbUJU1p1r_wW1gFWFOEjXk";
    let check = DecodingKey::from_secret(&key);
    let verify = |input: &str| {
        jsonwebtoken::crypto::verify(signature, input.as_bytes(), &check, Algorithm::HS256)
    };
    assert!(verify(input).unwrap());
    assert!(!verify(&input.replace("VlfQ", "VlfR")).unwrap());
    // RFC 7519: its `exp` lies in 2011, and it carries neither our issuer nor our audience.
    let tokens = Tokens::new(&key);
    assert!(
        tokens
            .holder(&format!("{input}.{signature}"), at(2_000_000_000))
            .is_err()
    );
}

#[test]
fn a_file_holds_one_key_a_line_the_newest_first() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("keys");
    let made = Tokens::from_file(&path, true).unwrap();
    let token = made.issue(&somebody(), at(NOW)).unwrap();
    let old = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{}\n{old}\n", random_secret().unwrap())).unwrap();
    let both = Tokens::from_file(&path, true).unwrap();
    assert_eq!(both.holder(&token, at(NOW)), Ok(somebody()));
    assert_ne!(both.newest(), made.newest());
    std::fs::write(&path, format!("{old}\nshort\n")).unwrap();
    assert!(matches!(
        Tokens::from_file(&path, true),
        Err(KeyError::Short(_))
    ));
}
