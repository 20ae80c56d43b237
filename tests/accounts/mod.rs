//! Accounts: how people, tablets and programs come in, and how they are kept out.

mod devices;
mod invited;
mod keys;
mod owner;
mod pages;
mod passwords;
mod privacy;
mod second_factor;

use chrono::{DateTime, Utc};
use reqwest::Method;
use roundhand::desk::Office;
use roundhand::desk::access::{Permission, Permit, scope};
use roundhand::desk::set_up::Account;
use roundhand::jobs::run_due;
use roundhand::mail::Settings;
use roundhand::store::users::user_by_email;
use roundhand::store::{Actor, Error, Role};
use serde_json::{Value, json};

use crate::support::{Answer, House};

/// A password that nobody tries first.
pub const GOOD: &str = "gravel heron tuesday";

/// POST of something that carries no key.
pub async fn post(house: &House, path: &str, body: &Value) -> Answer {
    let path = format!("/api/v1/{path}");
    house
        .nobody()
        .send(Method::POST, &path, &[], Some(body))
        .await
}

/// The account of a role.
pub fn account(house: &House, role: Role) -> &Account {
    let mut accounts = house.set_up.accounts.iter();
    accounts.find(|a| a.role == role).expect("an account")
}

/// Signs in.
pub async fn sign_in(house: &House, email: &str, password: &str) -> Answer {
    post(
        house,
        "sign-in",
        &json!({ "email": email, "password": password }),
    )
    .await
}

/// The user with this address.
pub fn db_user(house: &House, email: &str) -> i64 {
    let found = house
        .office
        .db
        .read(|conn| Ok::<_, Error>(user_by_email(conn, email)?.map(|user| user.id)));
    found.expect("a read").expect("a user")
}

/// A permit as the user of a role has it.
pub fn permit<P: Permission>(house: &House, role: Role) -> Permit<P> {
    let user = db_user(house, &account(house, role).email);
    let scope = scope(&house.office, Actor::of(user), house.set_up.site_id);
    Permit::of(scope.expect("a scope")).expect("a permit")
}

/// An office whose mail goes into a folder.
pub struct PostRoom {
    /// The office.
    pub office: Office,
    folder: tempfile::TempDir,
}

impl PostRoom {
    /// On the data of a house, with its clock at `now`.
    pub fn at(house: &House, now: DateTime<Utc>) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let url = format!("file:{}", folder.path().display());
        let mail = Settings::new(
            Some(&url),
            Some("courts@example.org"),
            Some("https://courts.example.org"),
        );
        Self {
            office: house.another_office(mail.expect("good settings"), now),
            folder,
        }
    }

    /// The same at the house's own time.
    pub fn of(house: &House) -> Self {
        Self::at(house, house.office.clock.now())
    }

    /// Sends what waits, and gives every letter that ever left, as a reader's program decodes it.
    pub fn letters(&self) -> Vec<String> {
        run_due(&self.office);
        let files = std::fs::read_dir(self.folder.path()).expect("the folder");
        let texts = files.map(|file| std::fs::read_to_string(file.expect("a file").path()));
        texts.map(|text| plain(&text.expect("a letter"))).collect()
    }
}

/// Quoted-printable undone (RFC 2045 section 6.7), as far as ASCII goes.
fn plain(text: &str) -> String {
    text.replace("=\r\n", "").replace("=3D", "=")
}

/// The secret at the end of a letter's link.
pub fn secret_in(letter: &str) -> String {
    let (_, rest) = letter
        .split_once("/password#")
        .expect("a link with a secret");
    rest.chars()
        .take_while(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'))
        .collect()
}

/// How many rows a table has.
pub fn db_count(house: &House, sql: &'static str) -> i64 {
    use diesel::prelude::*;
    use diesel::sql_types::BigInt;
    #[derive(QueryableByName)]
    struct Count {
        #[diesel(sql_type = BigInt)]
        rows: i64,
    }
    let query = diesel::sql_query(sql);
    let count = house.office.db.read(|conn| match conn {
        roundhand::store::Conn::Sqlite(conn) => Ok::<Count, Error>(query.get_result(conn)?),
        roundhand::store::Conn::Pg(conn) => Ok(query.get_result(conn)?),
    });
    count.expect("rows can be counted").rows
}
