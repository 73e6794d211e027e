package v1

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"time"

	"midcase/internal/shop"
	"midcase/internal/web/reply"
)

const (
	keyHeader  = "Idempotency-Key"
	longestKey = 200
	maxBody    = 1 << 20 // as the site lets in
	answerWait = 2 * time.Second
)

// answered is the answer to a request with a key, as it is kept beside the key.
type answered struct {
	Sum    string          `json:"sum"` // of what was sent
	Status int             `json:"status"`
	Header http.Header     `json:"header,omitempty"`
	Body   json.RawMessage `json:"body,omitempty"`
}

// onceOnly records what comes with a key once. The key is kept in the transaction of what it records; the same request
// again gets the first answer, another request with the key is refused.
func (a *API) onceOnly(w http.ResponseWriter, r *http.Request) {
	key := r.Header.Get(keyHeader)
	if key == "" {
		a.mux.ServeHTTP(w, r)
		return
	}
	if len(key) > longestKey {
		Refuse(w, http.StatusBadRequest, fmt.Sprintf("The %s is too long: at most %d characters.", keyHeader, longestKey))
		return
	}
	body, err := io.ReadAll(io.LimitReader(r.Body, maxBody+1))
	if err != nil || len(body) > maxBody {
		Refuse(w, http.StatusRequestEntityTooLarge, "What was sent is larger than 1 MiB, or was cut off.")
		return
	}
	sum := sha256.Sum256(body)
	sent := hex.EncodeToString(sum[:])
	named := sha256.Sum256(fmt.Appendf(nil, "%s %s\n%s\n%s", r.Method, r.URL.Path, a.opt.User(r.Context()), key))
	id := hex.EncodeToString(named[:])
	defer a.opt.Alone(id)()
	if a.again(w, r, id, sent) {
		return
	}
	token := shop.NewToken(id, a.now())
	r = r.WithContext(shop.WithToken(r.Context(), token))
	r.Body = io.NopCloser(bytes.NewReader(body))
	is := reply.Hold()
	a.mux.ServeHTTP(is, r)
	// It failed, perhaps because another server has just recorded the same.
	if !token.Taken() && is.Status >= http.StatusBadRequest && a.again(w, r, id, sent) {
		return
	}
	if token.Taken() {
		a.keep(r, id, answered{Sum: sent, Status: is.Status, Header: is.Head, Body: is.Body.Bytes()})
	}
	is.Send(w)
}

// keep notes an answer beside its key.
func (a *API) keep(r *http.Request, id string, is answered) {
	if !json.Valid(is.Body) {
		is.Body = nil
	}
	b, err := json.Marshal(is)
	if err == nil {
		err = a.shop.AnswerForm(context.WithoutCancel(r.Context()), id, string(b))
	}
	if err != nil {
		a.opt.Failed(r, err)
	}
}

// again gives the answer to a request that was recorded before, and reports whether there was one.
func (a *API) again(w http.ResponseWriter, r *http.Request, id, sent string) bool {
	kept, done, err := a.shop.FormAnswer(r.Context(), id)
	for end := time.Now().Add(answerWait); err == nil && done && kept == "" && time.Now().Before(end); {
		select {
		case <-r.Context().Done():
			return true
		case <-time.After(answerWait / 20):
			kept, done, err = a.shop.FormAnswer(r.Context(), id)
		}
	}
	var was answered
	switch {
	case err != nil:
		a.opt.Failed(r, err)
		status, says := a.opt.Explain(err)
		Refuse(w, status, says)
	case !done:
		return false
	case kept == "" || json.Unmarshal([]byte(kept), &was) != nil:
		Refuse(w, http.StatusConflict, "This was recorded already, but the answer to it was lost. Read what is there; "+
			"do not send it again with another key.")
	case was.Sum != sent:
		Refuse(w, http.StatusUnprocessableEntity, "Something else was recorded with this "+keyHeader+
			". Take a new key for each thing to record.")
	default:
		first := &reply.Kept{Head: was.Header, Status: was.Status}
		first.Head.Set("Idempotency-Replayed", "true")
		first.Body.Write(was.Body)
		first.Send(w)
	}
	return true
}
