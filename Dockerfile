FROM golang:1.26 AS build
# Letters of rare characters and scripts, for what is printed; the usual ones are built in.
RUN apt-get update && apt-get install -y --no-install-recommends fonts-noto-core fonts-noto-cjk
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /bot ./cmd/bot

FROM scratch
COPY --from=build /etc/ssl/certs/ca-certificates.crt /etc/ssl/certs/
COPY --from=build /usr/share/fonts/opentype/noto/NotoSansCJK-Regular.ttc /usr/share/fonts/opentype/noto/
COPY --from=build /usr/share/fonts/truetype/noto /usr/share/fonts/truetype/noto
COPY --from=build /bot /bot
USER 65532:65532
EXPOSE 8080
HEALTHCHECK --interval=10s --timeout=3s --start-period=5s --retries=3 CMD ["/bot", "health"]
ENTRYPOINT ["/bot"]
CMD ["serve"]
