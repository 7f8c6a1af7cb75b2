// Where the device gave no passkey, say so above the button: the script of the accounts app tells only the console.
"use strict";

document.addEventListener("allauth.error", (event) => {
  event.preventDefault();
  const told = document.getElementById("no-passkey");
  document.getElementById("mfa_webauthn").parentElement.before(told);
  told.hidden = false;
});
