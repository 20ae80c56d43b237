// Lays the secret of a mailed link, which stands after its #, into the form, and takes it out of the address.
const field = document.getElementById("secret");
if (location.hash.length > 1) {
  field.value = location.hash.slice(1);
  document.getElementById("secret-field").hidden = true;
  history.replaceState(null, "", location.pathname);
}
